//! What stops a pose.

use crate::design::ast::Span;
use crate::fold::state::CreaseId;

/// What stops a pose.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
#[allow(missing_docs, reason = "the messages say it")]
pub enum PoseError {
    #[error("no crease is called `{crease}`")]
    UnknownCrease { crease: String, known: Vec<String>, span: Span },
    #[error("the crease `{crease}` no longer joins anything in the folded model")]
    CreaseGone { crease: String, span: Span },
    #[error("the wings are folded against a keel, but no crease says how the keel opens")]
    KeelUnsaid { span: Span },
    #[error(
        "opening `{crease}` would tear the paper: two parts it joins would come {gap_mm:.2} mm apart"
    )]
    Torn { crease: String, gap_mm: f64, closes: Option<Closes>, span: Span },
    #[error("the two sides of `{crease}` are joined elsewhere too, so it cannot open")]
    Locked { crease: String, span: Span },
    #[error("`{crease}` cannot open: other paper clasps its two sides together")]
    Clasped { crease: String, by: Option<CreaseId>, span: Span },
    #[error("`{crease}` opens on one side only: the crease in its mirror image stays folded shut")]
    OneSided { crease: String, other: Option<String>, span: Span },
    #[error("only one wing is folded: `{crease}` lies on one half of the model alone")]
    OneWing { crease: String, made: Option<usize>, span: Span },
    #[error("the keel `{crease}` runs across the page, and the nose of a plane points up it")]
    KeelAcross { crease: String, span: Span },
    #[error("some layers are not joined to the rest of the model by any crease")]
    Loose,
}

/// A keel, and the widest opening in whole degrees at which every crease still closes.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs, reason = "said above")]
pub struct Closes {
    pub keel: String,
    pub deg: u32,
}

impl PoseError {
    /// Where in the text, if the text is to blame.
    pub fn span(&self) -> Option<Span> {
        match self {
            Self::UnknownCrease { span, .. }
            | Self::CreaseGone { span, .. }
            | Self::KeelUnsaid { span }
            | Self::KeelAcross { span, .. }
            | Self::OneSided { span, .. }
            | Self::OneWing { span, .. }
            | Self::Torn { span, .. }
            | Self::Locked { span, .. }
            | Self::Clasped { span, .. } => Some(span.clone()),
            Self::Loose => None,
        }
    }
}
