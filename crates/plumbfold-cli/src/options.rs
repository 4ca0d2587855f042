//! The command line, apart from what each command adds to it.

use clap::{ColorChoice, ValueEnum};
use plumbfold_draw::units::Units;

/// Options of every command.
#[derive(clap::Args)]
#[command(next_help_heading = "Common options")]
pub struct Global {
    /// Answer in JSON on standard output (mm, mm2, g, degrees, m/s); messages stay on standard error
    #[arg(long, global = true)]
    pub json: bool,
    /// Change a let for this run, such as `--set "tip=18 mm"`; may be given several times
    #[arg(long, global = true, value_name = "LET=VALUE", value_parser = parse_set)]
    pub set: Vec<(String, String)>,
    /// Whether the thickness of rolled layers moves creases; overrides `creep` in the text
    #[arg(long, global = true, value_name = "ON|OFF")]
    pub creep: Option<Switch>,
    /// Write over files that are there; pictures and pages made by plumbfold are replaced without
    #[arg(long, global = true)]
    pub force: bool,
    /// Lengths and speeds in the sentences of reports and on what is printed; tables and JSON stay
    /// metric
    #[arg(long, global = true, value_name = "UNITS", default_value = "mm")]
    units: UnitsName,
    /// Colours: `auto` is off when piped or when NO_COLOR is set
    #[arg(long, global = true, value_name = "WHEN", default_value_t = ColorChoice::Auto)]
    pub color: ColorChoice,
}

impl Global {
    /// In the form the terminal writer takes.
    pub fn color_choice(&self) -> anstream::ColorChoice {
        match self.color {
            ColorChoice::Auto => anstream::ColorChoice::Auto,
            ColorChoice::Always => anstream::ColorChoice::Always,
            ColorChoice::Never => anstream::ColorChoice::Never,
        }
    }

    /// What lengths are told in.
    pub fn units(&self) -> Units {
        match self.units {
            UnitsName::Mm => Units::Mm,
            UnitsName::Inch => Units::Inch,
        }
    }
}

/// What lengths are told in, as the command line names it.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum UnitsName {
    /// mm, m, m/s
    Mm,
    /// Inches, feet, feet per second
    Inch,
}

/// `on` or `off`.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Switch {
    On,
    Off,
}

fn parse_set(text: &str) -> Result<(String, String), String> {
    match text.split_once('=') {
        Some((name, value)) if !name.trim().is_empty() && !value.trim().is_empty() => {
            Ok((name.trim().to_owned(), value.trim().to_owned()))
        }
        _ => Err("expected LET=VALUE, such as `tip=18 mm`".to_owned()),
    }
}
