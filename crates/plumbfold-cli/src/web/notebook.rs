//! The notebook of this machine, as the page asks of it.

use plumbfold_page::Answer;
use plumbfold_page::notebook::{Question, Shown, records, shown};
use plumbfold_stats::record::holding;

use crate::error::Error;
use crate::notebook_file::NotebookOption;

/// Keeps what the question asks to keep, and tells what there is; `offered` are planes that can be
/// thrown though the notebook does not know them.
pub fn answer(book: &NotebookOption, question: &Question, offered: &[String]) -> Answer {
    match kept(book, question) {
        Ok(Ok(shown)) => Answer::json(200, &shown.offering(offered)),
        Ok(Err(why)) => Answer::message(422, &why),
        Err(e) => Answer::message(500, &e.message),
    }
}

fn kept(book: &NotebookOption, question: &Question) -> Result<Result<Shown, String>, Error> {
    let entries = book.entries_if_any()?;
    let session = book.session(&holding(&entries))?;
    let (records, told) = match records(question, &entries, session.as_deref()) {
        Ok(written) => written,
        Err(why) => return Ok(Err(why)),
    };
    if records.is_empty() {
        return Ok(Ok(shown(&entries, session.as_deref(), told)));
    }
    book.append(records)?;
    let entries = book.entries()?;
    let session = book.session(&holding(&entries))?;
    Ok(Ok(shown(&entries, session.as_deref(), told)))
}
