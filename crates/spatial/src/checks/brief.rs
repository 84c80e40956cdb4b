//! Something to be careful of, said once.

use std::borrow::Cow;
use std::fmt;

use palette::escaped;
use serde::Serialize;

/// Something to be careful of that concerns all of what it stands beside.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct BriefCaution {
    /// What it is about.
    pub about: Cow<'static, str>,
    /// What to do.
    pub text: Cow<'static, str>,
}

impl BriefCaution {
    /// From words of the house.
    #[must_use]
    pub const fn new(about: &'static str, text: &'static str) -> Self {
        Self { about: Cow::Borrowed(about), text: Cow::Borrowed(text) }
    }

    /// As an item of a list of a page.
    pub(crate) fn item(&self) -> String {
        format!("<li><b>{}</b>: {}</li>", escaped(&self.about), escaped(&self.text))
    }
}

impl fmt::Display for BriefCaution {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.about, self.text)
    }
}
