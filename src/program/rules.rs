//! The reader's rules as data: id, usual level, whether the tool's place becomes a guess, remedy.
//!
//! Ids follow the error and warning codes collected from NISTIR 6556 (2000), section 3, and
//! common practice; those marked ours are not of the report.

use crate::program::finding::Level;
use crate::program::finding::Rule;

macro_rules! rules {
    ($($name:ident $id:literal $level:ident $uncertain:literal $remedy:literal;)*) => {
        $(
            #[doc = concat!("`", $id, "`: ", $remedy)]
            pub static $name: Rule = Rule {
                id: $id,
                level: Level::$level,
                is_uncertain: $uncertain,
                remedy: $remedy,
            };
        )*
        /// All rules of the reader.
        pub static ALL: &[&Rule] = &[$(&$name),*];
    };
}

rules! {
    // Text and words (NISTIR 6556, 3.3).
    BAD_CHARACTER "bad-character" Stop true "Mend the line in an editor; a control may read it differently or refuse it.";
    UNKNOWN_WORD "unknown-word" Stop true "Look in the control's manual what the word does; it is not read here.";
    MISSING_NUMBER "missing-number" Stop true "Write the number behind the letter, or take the letter out.";
    BAD_NUMBER "bad-number" Stop true "Write one sign, digits and at most one point.";
    LETTER_O_FOR_ZERO "letter-o-for-zero" Stop true "Write the digit 0 in place of the letter O.";
    NUMBER_NOT_FINITE "number-not-finite" Stop true "Mend the number; it is too large to be meant.";
    UNCLOSED_COMMENT "unclosed-comment" Stop true "Close the comment on its own line.";
    NESTED_COMMENT "nested-comment" Warn false "Take the inner brackets out; some controls end the comment at the first one.";
    BAD_LINE_NUMBER "bad-line-number" Warn false "Write digits behind N or take it out.";
    LINE_NUMBER_RANGE "line-number-range" Note false "Nothing to do unless the control refuses long line numbers.";
    LINE_TOO_LONG "line-too-long" Warn false "Split the line; a control may cut it.";
    DUPLICATE_WORD "duplicate-word" Stop true "Take one of the two words out.";
    SAME_MODAL_GROUP "same-modal-group" Stop true "Put the two codes on lines of their own.";
    TOO_MANY_M_WORDS "too-many-m-words" Warn false "Put the M codes on more lines.";
    UNKNOWN_G_CODE "unknown-g-code" Stop true "Look in the control's manual what the code does; motion after it is not followed.";
    UNKNOWN_M_CODE "unknown-m-code" Warn false "Look in the control's manual what the code does.";
    EXTRA_WORD "extra-word" Warn false "Take the word out, or look what code it was meant for.";
    SLASH_COMMENT "slash-comment" Warn false "Write comments in brackets; a control may take the line as one to skip.";
    TEXT_AFTER_CODE "text-after-code" Warn false "Write the message in brackets unless the control wants it so.";
    TEXT_BEFORE_PERCENT "text-before-percent" Note false "Nothing to do; text before the first % is not read by a control.";
    NON_ASCII_IN_COMMENT "non-ascii-in-comment" Note false "Nothing to do unless the control stumbles over it.";
    BYTE_ORDER_MARK "byte-order-mark" Note false "Save the file without a byte-order mark if the control refuses it.";
    PROGRAM_NUMBER "program-number" Note false "Nothing to do; a program number moves nothing.";
    NOT_INTEGER "not-integer" Stop true "Write a whole number.";
    // Bounds of the file (3.1).
    PERCENT_UNCLOSED "percent-unclosed" Warn false "Compare the end of the file with the original: it may be cut off.";
    PERCENT_POSITION "percent-position" Warn false "Look at the lines behind the % sign: they are not read.";
    NO_PROGRAM_END "no-program-end" Warn false "Compare the end of the file with the original; end it with M30 or M2.";
    EMPTY_PROGRAM "empty-program" Stop false "Choose another file: there is nothing in this one.";
    TEXT_AFTER_END "text-after-end" Note false "Look whether the lines behind the end were meant to run.";
    // Parameters and expressions (3.3.2, 3.3.3).
    PARAMETER_INDEX "parameter-index" Stop true "Use a numbered parameter from 1 to 5399, or a named one that the program has set.";
    BAD_PARAMETER_SETTING "bad-parameter-setting" Stop true "Write #number=value.";
    UNBALANCED_BRACKET "unbalanced-bracket" Stop true "Close the bracket.";
    BAD_EXPRESSION "bad-expression" Stop true "Mend the expression.";
    DIVISION_BY_ZERO "division-by-zero" Stop true "Look at the values that the expression uses.";
    BAD_FUNCTION_ARGUMENT "bad-function-argument" Stop true "Look at the values that the function is given.";
    UNSET_PARAMETER "unset-parameter" Warn false "Set the parameter in the program; a control may hold an old value.";
    SIGN_BEFORE_EXPRESSION "sign-before-expression" Warn false "Write [0 - value]; read here as a negative value.";
    // Units, feed, speed, tool.
    UNITS_NOT_STATED "units-not-stated" Warn false "Write G21 (mm) or G20 (inch) at the head of the program.";
    FEED_BEFORE_UNIT_CHANGE "feed-before-unit-change" Warn false "Write a new F behind the change of units.";
    UNITS_MIXED "units-mixed" Warn false "Look whether both units are meant.";
    G70_G71_UNITS "g70-g71-units" Note false "Write G20 or G21 if the control does not take G70 and G71 as units.";
    FEED_MISSING "feed-missing" Stop false "Write an F before the first cut.";
    NEGATIVE_FEED "negative-feed" Stop false "Write a feed greater than zero.";
    NEGATIVE_SPEED "negative-speed" Warn false "Write a speed of zero or more; M4 turns the spindle the other way.";
    NEGATIVE_TOOL "negative-tool" Warn false "Write a tool number of zero or more.";
    INVERSE_TIME_FEED_MISSING "inverse-time-feed-missing" Stop false "Write an F on each feed line under G93.";
    FEED_PER_REV_WITHOUT_SPEED "feed-per-rev-without-speed" Stop false "Write an S before the cut, or use G94.";
    FEED_PER_REVOLUTION "feed-per-revolution" Warn false "Look whether the control knows G95.";
    FEED_ON_RAPID "feed-on-rapid" Warn false "Nothing to do; the feed is kept for the next cut.";
    CUT_AFTER_M5 "cut-after-m5" Warn false "Take the M5 out, or write M3 and S before the cut.";
    SPINDLE_STOPPED "spindle-stopped" Warn false "Write M3 and S before the cut, or turn the spindle on by hand.";
    SPINDLE_SPEED_MISSING "spindle-speed-missing" Warn false "Write S beside M3, or set the speed by hand.";
    TOOL_SELECTED_NOT_CHANGED "tool-selected-not-changed" Warn false "Change the tool by hand where the program means it, or add M6.";
    TOOL_CHANGE_WITHOUT_TOOL_WORD "tool-change-without-tool-word" Warn false "Find out which tool is meant and write its T.";
    TOOL_CHANGE_IN_COMMENT "tool-change-in-comment" Warn false "Change the tool by hand at the stop, and set its length again.";
    TOOL_LENGTH_UNKNOWN "tool-length-unknown" Warn false "Look at the control's tool table before the run.";
    MISSING_H "missing-h" Stop true "Write the H of the tool beside G43.";
    BAD_H "bad-h" Stop true "Write a whole H of zero or more.";
    // Order, dwell, stops.
    ORDER_OF_EXECUTION "order-of-execution" Warn false "Put M5 or M9 on a line of its own: controls differ whether it acts before or after the move.";
    DWELL_UNITS "dwell-units" Warn false "Find out whether the control counts P in seconds or milliseconds.";
    DWELL_MISSING_P "dwell-missing-p" Warn false "Write G4 P with seconds.";
    DWELL_NEGATIVE "dwell-negative" Warn false "Write a dwell of zero or more.";
    BLOCK_DELETE_PRESENT "block-delete-present" Warn false "Set the block-delete switch as the program means it.";
    // Motion (3.4, 3.5.1 to 3.5.3, 3.5.15).
    MOTION_CODE_WITHOUT_AXES "motion-code-without-axes" Note false "Nothing to do; the mode is set.";
    AXIS_WORDS_WITHOUT_MOTION "axis-words-without-motion" Stop true "Write the motion code that is meant.";
    ROTARY_AXIS "rotary-axis" Stop true "This machine has no such axis; post the program for three axes.";
    ARC_NO_ENDPOINT "arc-no-endpoint" Warn false "Write the end point; read here as a full circle.";
    ARC_NO_CENTRE "arc-no-centre" Stop true "Write I and J, or R.";
    ARC_MIXED_FORMAT "arc-mixed-format" Stop true "Write either R or the centre, not both.";
    ARC_WRONG_PLANE_OFFSET "arc-wrong-plane-offset" Stop true "Select the plane that the arc is meant for (G17 for X and Y), or take the offset out.";
    ARC_OFF_CIRCLE "arc-off-circle" Stop true "Post the program with more decimals, or look whether centres are absolute.";
    ARC_RADIUS_SAME_POINT "arc-radius-same-point" Stop true "Write the centre: a full circle cannot be given by its radius.";
    ARC_RADIUS_TOO_SMALL "arc-radius-too-small" Stop true "Write a radius of at least half the distance.";
    ARC_ZERO_RADIUS "arc-zero-radius" Stop true "Write a centre away from the start, or a radius.";
    ARC_NEARLY_CLOSED "arc-nearly-closed" Warn false "Look at the arc: rounding decides between a full turn and nothing.";
    ARC_START_UNKNOWN "arc-start-unknown" Warn false "State where the tool starts; this arc's path is not known.";
    RADIUS_ARC_ILL_CONDITIONED "radius-arc-ill-conditioned" Warn false "Write the centre: by radius, rounding moves this arc a lot.";
    ABSOLUTE_ARC_CENTRES "absolute-arc-centres" Note false "Set the control to absolute arc centres before the run.";
    // Frames (3.5.5, 3.5.8, 3.5.10 to 3.5.13, 3.5.18).
    MACHINE_POSITION_UNKNOWN "machine-position-unknown" Note false "Look that the way to the machine's own point is clear.";
    G53_WITHOUT_G0_G1 "g53-without-g0-g1" Stop true "Write G0 beside G53.";
    G53_NO_AXES "g53-no-axes" Warn false "Write the axes that G53 is meant for.";
    G92_OFFSET "g92-offset" Warn false "Look whether an old G92 is still in force before the run, and clear it after.";
    G92_NO_AXES "g92-no-axes" Stop true "Write the axes that G92 is meant for.";
    BAD_G10 "bad-g10" Stop true "Look in the control's manual what this G10 sets.";
    G10_ORIGIN "g10-origin" Warn false "The program moves a zero that was set by hand: set it again after the run.";
    GROUP_0_AND_1_AXIS_CONFLICT "group-0-and-1-axis-conflict" Stop true "Put the two codes on lines of their own.";
    CUTTER_COMPENSATION "cutter-compensation" Warn false "The real path lies a tool radius beside the programmed one: look at the D table.";
    COMPENSATION_ERROR "compensation-error" Stop true "End compensation with G40 first.";
    PROBE_END_UNKNOWN "probe-end-unknown" Warn false "The move ends where the probe touches; what follows depends on it.";
    PROBE_ERROR "probe-error" Stop true "Mend the probing move.";
    BAD_WORK_SYSTEM "bad-work-system" Stop true "Write a work system from 1 to 9.";
    // Cycles (3.5.16).
    CYCLE_NO_AXIS_WORDS "cycle-no-axis-words" Stop true "Write where the hole is.";
    CYCLE_MISSING_DEPTH "cycle-missing-depth" Stop true "Write the depth of the hole.";
    CYCLE_MISSING_R "cycle-missing-r" Stop true "Write the level R.";
    CYCLE_R_BELOW_DEPTH "cycle-r-below-depth" Stop true "Write R above the bottom of the hole.";
    CYCLE_MISSING_P "cycle-missing-p" Warn false "Write the dwell P.";
    CYCLE_NEGATIVE_P "cycle-negative-p" Warn false "Write a dwell of zero or more.";
    CYCLE_MISSING_Q "cycle-missing-q" Stop false "Write the peck Q.";
    CYCLE_BAD_Q "cycle-bad-q" Stop false "Write a peck greater than zero.";
    CYCLE_MISSING_K "cycle-missing-k" Stop true "Write K, the top of the back bore.";
    CYCLE_BAD_L "cycle-bad-l" Stop true "Write a whole number of repeats from 1 on.";
    CYCLE_REPEAT_K "cycle-repeat-k" Warn false "Read here as a count of repeats; look whether the control does so.";
    CYCLE_IN_INVERSE_TIME "cycle-in-inverse-time" Stop false "Use G94 for cycles.";
    CYCLE_WITH_COMPENSATION "cycle-with-compensation" Stop true "End compensation with G40 first.";
    CYCLE_SPINDLE "cycle-spindle" Stop false "Start the spindle as the cycle wants it.";
    CYCLE_START_UNKNOWN "cycle-start-unknown" Warn false "State the height before the cycle: the old level is not known.";
    REPEAT_IN_PLACE "repeat-in-place" Warn false "Look whether G91 was meant: the same hole is made again.";
    PECK_CYCLE_G73 "peck-cycle-g73" Note false "Look whether the control knows G73 as pecking without retract.";
    TAPPING_CYCLE "tapping-cycle" Warn false "Look that F is S times the pitch and that the spindle can reverse.";
    BORING_CYCLE_SPINDLE_STOP "boring-cycle-spindle-stop" Warn false "The spindle must stop by itself: a spindle turned on by hand spoils the bore.";
    MANUAL_RETRACT "manual-retract" Warn false "Take the tool out by hand at the stop; the place after it is not known.";
    BACK_BORE_TOP_BELOW_BOTTOM "back-bore-top-below-bottom" Warn false "Look at K and Z: the tool would feed down, not up.";
    // Subprograms (common practice, not of the report).
    SUBPROGRAM_CALL "subprogram-call" Stop true "Put the subprogram into the same file, or write its lines out.";
    SUBPROGRAM_DEPTH "subprogram-depth" Stop true "Call subprograms at most ten deep.";
    ENDLESS_PROGRAM "endless-program" Stop true "Look for a loop without an end.";
    O_WORDS_RUN "o-words-run" Note false "Look in the control's manual whether it runs O words and reads them in this way.";
    // Bounds of this reader.
    SECTIONS_CAPPED "sections-capped" Note false "Nothing to do; later sections are shown as one.";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_are_unique_and_kebab_case() {
        let mut ids: Vec<&str> = ALL.iter().map(|rule| rule.id).collect();
        ids.sort_unstable();
        let count = ids.len();
        ids.dedup();
        assert_eq!(ids.len(), count);
        assert!(ids.iter().all(|id| {
            id.chars()
                .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-')
        }));
    }

    #[test]
    fn a_remedy_is_a_sentence() {
        assert!(ALL.iter().all(|rule| rule.remedy.ends_with('.')));
    }
}
