//! What is said of a command line that cannot be understood.

use clap::Error;
use clap::builder::StyledStr;
use clap::error::ContextValue;

use crate::plain;

/// The message with every argument in it escaped: an argument may be the name of a file that somebody else chose.
pub fn message(mut error: Error) -> String {
    let escaped: Vec<_> = error
        .context()
        .map(|(kind, value)| (kind, escaped(value)))
        .collect();
    for (kind, value) in escaped {
        error.insert(kind, value);
    }
    // What a reader of a value says of it is no part of those.
    plain::lines(&error.render().to_string()) + "\n"
}

fn escaped(value: &ContextValue) -> ContextValue {
    let styled = |text: &StyledStr| StyledStr::from(plain::text(&text.to_string()));
    match value {
        ContextValue::String(text) => ContextValue::String(plain::text(text)),
        ContextValue::Strings(texts) => {
            ContextValue::Strings(texts.iter().map(|text| plain::text(text)).collect())
        }
        ContextValue::StyledStrs(texts) => {
            ContextValue::StyledStrs(texts.iter().map(styled).collect())
        }
        // The usage has several lines, and nothing of the arguments.
        other => other.clone(),
    }
}
