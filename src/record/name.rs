//! Names of sessions and jobs.

use chrono::DateTime;
use chrono::FixedOffset;

/// Longest slug in a name.
const LONGEST_SLUG: usize = 40;

/// A title as part of a file name: lower-case letters, digits and single hyphens; never empty.
///
/// ```
/// use millside::record::name::slug;
/// assert_eq!(slug("Star-tracker: base plate (2)"), "star-tracker-base-plate-2");
/// assert_eq!(slug("立铣刀"), "job");
/// ```
pub fn slug(title: &str) -> String {
    let mut out = String::new();
    for c in title.chars() {
        if out.len() >= LONGEST_SLUG {
            break;
        }
        if c.is_ascii_alphanumeric() {
            out.push(c.to_ascii_lowercase());
        } else if !out.is_empty() && !out.ends_with('-') {
            out.push('-');
        }
    }
    let out = out.trim_end_matches('-');
    if out.is_empty() {
        "job".to_owned()
    } else {
        out.to_owned()
    }
}

/// Name of a session and stem of its file: date, time, title, four hexadecimal digits.
///
/// `salt` makes two sessions of the same second differ.
pub fn session_id(title: &str, begun: DateTime<FixedOffset>, salt: u16) -> String {
    format!(
        "{}-{}-{salt:04x}",
        begun.format("%Y-%m-%d-%H%M%S"),
        slug(title)
    )
}

/// Name of a job, the same in all of its sessions.
pub fn job_id(title: &str, salt: u16) -> String {
    format!("{}-{salt:04x}", slug(title))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_begins_with_date_and_time_so_that_a_folder_lists_in_order() {
        let begun = DateTime::parse_from_rfc3339("2026-11-25T14:03:09+01:00").unwrap();
        assert_eq!(
            session_id("Base plate", begun, 0x9f3),
            "2026-11-25-140309-base-plate-09f3"
        );
        assert_eq!(job_id("", 0xffff), "job-ffff");
    }

    #[test]
    fn a_title_cannot_leave_the_folder_or_hide_the_file() {
        assert_eq!(slug("../../etc/passwd"), "etc-passwd");
        assert_eq!(slug(".hidden"), "hidden");
        assert_eq!(slug(&"long ".repeat(50)).len(), 39);
        assert_eq!(slug("a\u{1b}[2Jb\0c"), "a-2jb-c");
    }
}
