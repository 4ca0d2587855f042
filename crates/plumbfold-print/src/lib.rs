//! What a folder works from: templates, booklets and cards as PDF, models as files for machines.
//! Every picture comes from `plumbfold-draw`. Pure: no files, no clock; same input, same bytes.
//!
//! Modules in the order the data flows.

pub mod page;
pub mod pdf;
pub mod surface;
pub mod guides;
pub mod template;
pub mod dxf;
pub mod reference;
pub mod words;
pub mod leaf;
pub mod effort;
pub mod measures;
pub mod booklet;
pub mod collection;
pub mod html;
pub mod card;
pub mod solid;
pub mod model;
