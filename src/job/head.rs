//! The head of a screw as a person writes it.

use crate::job::holding::ScrewHead;
use crate::quantity;
use crate::quantity::entry;
use crate::table::heads;

/// What is understood of X, Y and a thread such as `M5`, or of X, Y, diameter and height above the blank. Of a thread the greatest
/// head of a socket cap screw is taken, without a washer.
///
/// # Errors
///
/// Says what was wrong.
pub fn understood(parts: &[&str]) -> Result<ScrewHead, String> {
    const FORM: &str =
        "X and Y of the screw, then its thread such as M5, or diameter and height of its head";
    let length = |text: &str| {
        entry::length_signed(text)
            .map(|e| quantity::to_mm(e.value))
            .map_err(|e| format!("{FORM}: {e}"))
    };
    let (x, y, diameter, height) = match parts {
        [x, y, thread] => {
            let (diameter, height) = heads::socket_cap(thread).ok_or_else(|| {
                let known: Vec<&str> = heads::threads().collect();
                format!("{FORM}; threads: {}", known.join(", "))
            })?;
            (x, y, diameter, height)
        }
        [x, y, diameter, height] => (x, y, length(diameter)?, length(height)?),
        _ => return Err(FORM.to_owned()),
    };
    if !(diameter > 0.0 && height >= 0.0) {
        return Err(format!(
            "{FORM}; the diameter is more than 0, the height 0 or more"
        ));
    }
    Ok(ScrewHead {
        at: [length(x)?, length(y)?],
        diameter,
        height,
    })
}
