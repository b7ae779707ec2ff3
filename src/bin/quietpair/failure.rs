//! Why a command gave no result.

use std::fmt::Display;

use quietpair::document::nearest;

use crate::output;

/// Why a command gave no result.
#[derive(Debug)]
pub(crate) enum Failure {
    /// The call was wrong, or only help was asked for; the message is ready made.
    Call(clap::Error),
    /// The call or the input is wrong: what is, and what would mend it.
    Input {
        /// What is wrong.
        message: String,
        /// What would mend it.
        hint: Option<String>,
    },
    /// The file that was read holds faults, each told with its place.
    File(String),
    /// The program itself failed.
    Itself(String),
}

impl Failure {
    /// Something is wrong with the call or the input.
    pub(crate) fn input(message: impl Display) -> Self {
        Self::Input {
            message: message.to_string(),
            hint: None,
        }
    }

    /// The same with what would mend it.
    pub(crate) fn hint(self, text: impl Display) -> Self {
        match self {
            Self::Input { message, .. } => Self::Input {
                message,
                hint: Some(text.to_string()),
            },
            other => other,
        }
    }

    /// A file holds faults, with colour where standard error shows it.
    pub(crate) fn faults(plain: &impl Display, coloured: impl FnOnce() -> String) -> Self {
        Self::File(if output::is_coloured_for_errors() {
            coloured()
        } else {
            plain.to_string()
        })
    }

    /// The program failed in a way nobody foresaw.
    pub(crate) fn of_panic(reason: &str) -> Self {
        Self::Itself(format!(
            "the program itself failed: {reason}. Nothing it was asked can be taken as answered; please report this \
             with the file that led to it"
        ))
    }
}

/// A word that is not known, with the nearest one that is.
pub(crate) fn unknown<'a>(what: &str, word: &str, known: impl Iterator<Item = &'a str>) -> Failure {
    let known: Vec<&str> = known.collect();
    let failure = Failure::input(format_args!("there is no {what} `{word}`"));
    if let Some(one) = nearest(word, &known) {
        failure.hint(format_args!("did you mean `{one}`?"))
    } else if known.is_empty() {
        failure.hint("there is none at all")
    } else {
        failure.hint(format_args!("known are: {}", known.join(", ")))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hint_for(word: &str) -> String {
        match unknown("check", word, ["harmonic", "image"].into_iter()) {
            Failure::Input { hint, .. } => hint.unwrap(),
            _ => String::new(),
        }
    }

    #[test]
    fn a_slip_is_met_with_the_nearest_word_and_nonsense_with_all() {
        assert_eq!(hint_for("harmonics"), "did you mean `harmonic`?");
        assert_eq!(hint_for("imgae"), "did you mean `image`?");
        // Every letter another is no slip.
        assert_eq!(hint_for("fr"), "known are: harmonic, image");
        assert_eq!(hint_for("zzzzzzzzzzzz"), "known are: harmonic, image");
    }
}
