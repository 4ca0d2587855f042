//! Fields of records as tables hold them.

/// One field of a record as tables and spreadsheets hold it.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// Nothing known.
    Empty,
    /// A number.
    Number(f64),
    /// A text.
    Text(String),
}

/// What a field can be.
pub(super) trait Field: Sized {
    /// Whether it is a number.
    const NUMERIC: bool;
    fn to_cell(&self) -> Cell;
    fn from_cell(cell: Cell) -> Result<Self, String>;
}

impl Field for String {
    const NUMERIC: bool = false;
    fn to_cell(&self) -> Cell {
        Cell::Text(self.clone())
    }
    fn from_cell(cell: Cell) -> Result<Self, String> {
        match cell {
            Cell::Text(text) => Ok(text),
            Cell::Number(n) => Ok(n.to_string()),
            Cell::Empty => Err("is empty".to_owned()),
        }
    }
}

impl Field for f64 {
    const NUMERIC: bool = true;
    fn to_cell(&self) -> Cell {
        Cell::Number(*self)
    }
    fn from_cell(cell: Cell) -> Result<Self, String> {
        match cell {
            Cell::Number(n) if n.is_finite() => Ok(n),
            Cell::Text(text) => match text.trim().parse() {
                Ok(n) if f64::is_finite(n) => Ok(n),
                _ => Err(format!("holds `{text}`, which is no number")),
            },
            Cell::Number(_) => Err("is not a finite number".to_owned()),
            Cell::Empty => Err("is empty".to_owned()),
        }
    }
}

impl<T: Field> Field for Option<T> {
    const NUMERIC: bool = T::NUMERIC;
    fn to_cell(&self) -> Cell {
        self.as_ref().map_or(Cell::Empty, Field::to_cell)
    }
    fn from_cell(cell: Cell) -> Result<Self, String> {
        match cell {
            Cell::Empty => Ok(None),
            known => T::from_cell(known).map(Some),
        }
    }
}
