//! Rules of the check as data: id, usual level, remedy, and what must be known for it to run.

use crate::program::finding::Level;
use crate::program::finding::Rule;

macro_rules! rules {
    ($($name:ident $id:literal $level:ident $needs:literal $remedy:literal;)*) => {
        $(
            #[doc = concat!("`", $id, "`: ", $remedy)]
            pub static $name: Rule = Rule {
                id: $id,
                level: Level::$level,
                is_uncertain: false,
                remedy: $remedy,
            };
        )*
        /// All rules of the check with what must be known for each.
        pub static ALL: &[(&Rule, &str)] = &[$((&$name, $needs)),*];
    };
}

rules! {
    NOTHING_IS_CUT "nothing-is-cut" Stop "nothing" "Look whether this is the right program and whether it is whole.";
    SEVERAL_ZEROS "several-zeros" Warn "nothing" "Set each zero before its section, or make a program of each.";
    ZERO_MOVED_BY_PROGRAM "zero-moved-by-program" Stop "nothing" "Take the line out, or set the zero again after each run and look at these cuts yourself.";
    CUT_WITHOUT_LENGTH "cut-without-length" Warn "nothing" "Write G43 with the tool's own H before its first move in Z, or look that the control uses no tool lengths.";
    COMMENT_OF_OTHER_TOOL "comment-of-other-tool" Note "nothing" "Look which tool the program means and whether its numbers are right.";
    ENDS_IN_METAL "ends-in-metal" Warn "stock, zero" "Be ready to raise the tool by hand before the spindle is stopped.";
    TAP_WITHOUT_HOLE "tap-without-hole" Stop "stock, zero, tool" "Drill the hole first, deeper than the thread.";
    TAP_HOLE_SHALLOW "tap-hole-shallow" Warn "stock, zero, tool" "Drill deeper: thread, lead of the tap, run-on of the spindle and room for chips; or tap less deep.";
    TAP_WITHOUT_REVERSE "tap-without-reverse" Stop "machine" "Take the tapping out and tap by hand, or mill the thread.";
    TAP_FEED "tap-feed" Stop "tool" "Set F to S times the pitch.";
    CANNOT_CUT_SIDEWAYS "cannot-cut-sideways" Stop "stock, zero, tool" "Look which tool is meant here.";
    DRILLED_WITH_END_MILL "drilled-with-end-mill" Warn "stock, zero, tool" "Look which tool is meant here; an end mill packs with chips in a deep hole.";
    NO_SPINDLE_STOP "no-spindle-stop" Warn "nothing" "Be ready to stop the spindle by hand at the end.";
    SPINDLE_WRONG_WAY "spindle-wrong-way" Warn "nothing" "Look that the tool cuts counterclockwise, or write M3.";
    MACHINE_MOVE_LOW "machine-move-low" Warn "nothing" "Raise Z to clearance on a line of its own before this one.";
    H_UNLIKE_T "h-unlike-t" Warn "nothing" "Write the H of the tool in the spindle: with another length it goes deeper or higher by the difference.";
    UNITS_DO_NOT_FIT "units-do-not-fit" Stop "stock" "Look at the size of the part in the drawing and at G20 and G21.";
    ZERO_DOES_NOT_FIT "zero-does-not-fit" Stop "stock, zero" "Set the zero to the point named, or post the program for this one.";
    ZERO_FITS_BETTER "zero-fits-better" Warn "stock, zero" "Compare with the drawing which point is meant.";
    NO_ZERO_FITS "no-zero-fits" Stop "stock" "Look whether blank and program belong together.";
    ZERO_AMBIGUOUS "zero-ambiguous" Note "stock" "Look at the feature named before the first cut.";
    THROUGH_BOTTOM "through-bottom" Note "stock, zero" "Look that what lies under the blank may be cut.";
    RAPID_THROUGH_UNCUT "rapid-through-uncut" Stop "stock, zero" "Look at the block: clearance height and zero.";
    PLUNGE_NOT_CENTRE_CUTTING "plunge-not-centre-cutting" Stop "stock, zero, tool" "Take a tool that cuts at its centre, or enter on a ramp or helix.";
    DEEPER_THAN_FLUTES "deeper-than-flutes" Stop "stock, zero, tool" "Take a longer tool or more steps.";
    SHANK_IN_CUT "shank-in-cut" Warn "stock, zero, tool" "Look that the shank clears the wall.";
    HOLDER_BELOW_TOP "holder-below-top" Stop "stock, zero, tool" "Take the tool out further, or a longer one.";
    HOLE_WITHOUT_SPOT "hole-without-spot" Note "stock, zero" "Spot the hole first unless the drill starts by itself.";
    HOLE_WITHOUT_PILOT "hole-without-pilot" Warn "stock, zero, pilot" "Drill the pilot hole first at each of these places, or take the pilot hole out of the recipe.";
    PATH_BEING_FOLLOWED "path-being-followed" Stop "stock, zero" "Wait until it is done: what it finds stands here then.";
    PATH_NOT_FOLLOWED "path-not-followed" Warn "stock, zero" "Look at the blocks from this line on: nothing is checked against the metal there.";
    PART_COMES_FREE "part-comes-free" Stop "stock, zero" "Leave tabs or a skin, or hold the piece before it is cut off.";
    HELD_BY_TABS "held-by-tabs" Note "stock, zero" "Look that what is left holds in the last cut.";
    PART_EDGE_NOT_REACHED "part-edge-not-reached" Warn "stock, zero, part" "Look whether another program or setup cuts these edges.";
    PROFILE_BEFORE_INSIDE "profile-before-inside" Warn "stock, zero, part" "Cut the inside first: once the outside is cut the part is held by less.";
    RAPID_CLOSE_TO_METAL "rapid-close-to-metal" Warn "stock, zero" "Raise the clearance height, the R of the cycle too.";
    SPINDLE_STOPPED_IN_METAL "spindle-stopped-in-metal" Stop "stock, zero, machine" "Add M3 with S before the cut.";
    PLUNGE_AT_CUTTING_FEED "plunge-at-cutting-feed" Warn "stock, zero, tool" "Enter on a ramp or helix, or give the plunge a feed of its own, half or less.";
    DEEPER_THAN_RECIPE "deeper-than-recipe" Warn "stock, zero, recipe" "Post the program with smaller steps, or decide the recipe for this depth.";
    RAPID_BELOW_ZERO "rapid-below-zero" Note "nothing" "State blank and zero: then it is known whether there is metal.";
    START_NOT_STATED "start-not-stated" Stop "nothing" "State where the tool stands at the start (check FILE --start X,Y,Z), or post the program with G90.";
    HOLDER_NEAR_KEEP_OUT "holder-near-keep-out" Warn "stock, zero, keep-outs, tool" "Take the tool out further, or a lower clamp.";
    KEEP_OUT_ENTERED "keep-out-entered" Stop "stock, zero, keep-outs" "Move the clamp, or change the program.";
    TOOL_CHANGE_LOW "tool-change-low" Warn "stock, zero" "Raise the tool before the change.";
    OVER_TRAVEL "over-travel" Stop "machine" "Split the program or turn the part: the machine cannot reach so far.";
    FEED_OVER_AXIS "feed-over-axis" Warn "machine" "The machine will run slower than programmed.";
    SPEED_OVER_SPINDLE "speed-over-spindle" Warn "machine" "Set the feed to the speed that the spindle can give.";
    TOOL_SPEED_OVER_RATING "tool-speed-over-rating" Stop "tool" "Write a lower S, or take a cutter, arbor and holder that are rated higher.";
    TOOL_SPEED_UNKNOWN "tool-speed-unknown" Warn "tool" "Read the rating on cutter, arbor and holder and state the lowest.";
    SPEED_UNDER_SPINDLE "speed-under-spindle" Warn "machine" "Set the feed to the speed that the spindle can give.";
    CHIP_LOAD "chip-load" Warn "tool, recipe" "Change the program's feed or speed, or decide the recipe for them.";
    BACKLASH_IN_BORE "backlash-in-bore" Warn "tool, machine, bore" "Bore or ream it, or leave metal, measure, and finish it with the axes moving one way.";
    TOOL_UNLIKE_COMMENT "tool-unlike-comment" Warn "tools" "Look which tool the program means: its comment and the stated tool differ.";
    POSTED_FOR_OTHER_DIAMETER "posted-for-other-diameter" Stop "tool" "Fit the cutter that the program is for, or post the program for this one.";
    Z_REFERENCE_CUT "z-reference-cut" Warn "stock, zero, Z reference" "Choose a Z reference that stays before the first cut, or touch off on the new face with its Z.";
    TOOL_NOT_LISTED "tool-not-listed" Warn "tools" "State the tool, or look whether the program is the right one.";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_session_knows_the_finding_that_no_reason_accepts() {
        assert_eq!(
            TOOL_SPEED_OVER_RATING.id,
            crate::job::tool_speed::OVER_RATING
        );
    }

    #[test]
    fn ids_are_unique_beside_those_of_the_reader() {
        let mut ids: Vec<&str> = ALL.iter().map(|(rule, _)| rule.id).collect();
        ids.extend(crate::program::rules::ALL.iter().map(|rule| rule.id));
        let count = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), count);
    }
}
