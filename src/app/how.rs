//! What a field is for: how its value is found, and what goes wrong when it is wrong. A sentence or two each.
//!
//! Common practice, no source, but where a comment names one.

use crate::app::field::Field;
use crate::app::field::Takes;
use crate::job::conditions::KEYS;

/// How the value of a field is found, then what goes wrong when it is wrong.
pub fn of(field: Field) -> [&'static str; 2] {
    match field {
        Field::Gauge(_) | Field::SizeGauge => [
            "The sheet of the gauge, or its difference on a gauge block of the same size, as measured.",
            "Taken as better than it is, a part beyond its tolerance is called good.",
        ],
        Field::Title => [
            "A name by which you find this job again.",
            "Two jobs of one name are easily taken for each other.",
        ],
        Field::Machine => [
            "Read the plate on the mill in front of you and choose its profile.",
            "Another mill has other forces, speeds and travels: its recipes may stall or break yours.",
        ],
        Field::Material => [
            "Read the mark or the bill of the bar, not its colour.",
            "Of another alloy forces, speeds and the risk of fire are others.",
        ],
        Field::Program => [
            "The file that you will send to the control, the same one.",
            "A file that is not the one that runs is checked for nothing.",
        ],
        Field::BeginAgain => [
            "The line or the time at which it stopped, or a little before it.",
            "Begun too late a piece of the path stays uncut, and the tool meets it at full depth.",
        ],
        Field::StockX => [
            "Callipers across the blank from left to right, burrs off, at its widest place.",
            "Too small here, and the tool meets metal in a rapid; a zero at the far side or in the middle lies beside its place.",
        ],
        Field::StockY => [
            "Callipers across the blank from front to back, burrs off, at its widest place.",
            "Too small here, and the tool meets metal in a rapid; a zero at the far side or in the middle lies beside its place.",
        ],
        Field::Thickness(_) => [
            "Callipers at this corner, away from burrs; sawn stock is seldom alike at all four.",
            "Too small, and the first pass is deeper than planned; too large, and a cut through goes on into what lies under it.",
        ],
        Field::Edges => [
            "Look at the outside: saw marks or a rolled skin are sawn, a cutter's marks are milled.",
            "A sawn edge is not where a finder says: a zero from it is off by its waves.",
        ],
        Field::Under => [
            "Look under the blank at what it lies on, where the cut goes through.",
            "A cut through goes on into it: a parallel or the table breaks the tool.",
        ],
        Field::Spoil => [
            "Callipers on the board beside the blank, where it is flat.",
            "Thought thicker than it is, the cut through reaches the table.",
        ],
        Field::AboveJaws => [
            "Depth rod of the callipers from the top of the blank down to the jaws, at the lowest place.",
            "Thought higher than it is, the cutter meets the jaws; too little in the jaws, and the part leaves them.",
        ],
        Field::Part(_) => [
            "Read it on the drawing: the size that the part is to have.",
            "With a wrong size the check looks for the part at the wrong place and finds no edge that was missed.",
        ],
        Field::HeldBy => [
            "Look at what keeps the part from moving and from lifting, the weakest of it.",
            "Grip, keep-outs and the lines of the list follow from it: named stronger than it is, the part comes out.",
        ],
        Field::OutOfTrue => [
            "A dial along the jaw or fence over its whole length, by moving the axis: the difference that it shows.",
            "The part is cut at that angle to its outside, and a second side does not meet the first.",
        ],
        Field::KeepOut(_) => [
            "A rule from the left front bottom corner of the blank: X and Y where it begins, X and Y where it ends, its height.",
            "A clamp that is entered too small or too low is one that the check lets the cutter run into.",
        ],
        Field::Screw(_) => [
            "A rule from the left front corner of the blank to the middle of the screw; callipers over head and washer.",
            "A head that is not entered, or entered too low, is one that the tool or the dry run can hit.",
        ],
        Field::HoldPull => [
            "A spring balance hooked to the blank, pulled straight up until it shows what the bond is to bear.",
            "Entered higher than it was pulled, the recipe lifts the part off.",
        ],
        Field::RestAfter => [
            "Feel the part by hand in pauses of an earlier job, spindle off: how long until it was warm?",
            "A warm bond creeps and then lets go all at once.",
        ],
        Field::ZeroPoint => [
            "Read it in the setup sheet of the program: the corner or middle of the blank where X, Y and Z are 0.",
            "Another point moves the whole program by half a blank or more: into a clamp, a jaw or the table.",
        ],
        Field::FoundBy => [
            "What you touch the edges with: a pin, an edge finder, the tool itself, or a dial in a bore.",
            "The sums for the touch follow from it: another one puts the zero off.",
        ],
        Field::Finder => [
            "Micrometer or callipers on what touches the blank, at the height that touches.",
            "A zero from one edge is off by half the error.",
        ],
        Field::TouchAt(_) => [
            "Come on to the edge slowly from outside, stop at the touch, read the axis with its sign.",
            "A wrong reading shows as backlash that is not there, or hides what is.",
        ],
        Field::Offset => [
            "Look in the program for its G54 to G59, and set the zero in the same one.",
            "In another one the program runs from whatever zero stands there.",
        ],
        Field::Tool => [
            "The tool that the program names for this section; hold it against the name, diameter and flutes.",
            "Another diameter cuts another size, another length runs too deep or the holder into the part.",
        ],
        Field::StickOut => [
            "A rule or callipers from the face of the nut to the tip, with the tool in and tight.",
            "It bends with the cube of it: longer than stated it chatters and breaks; shorter, and the nut meets the part.",
        ],
        Field::SpeedRating => [
            "Read the highest rpm printed on cutter, arbor and holder, or in their makers' sheets: the lowest of them.",
            "Above it a cutter bursts: the force on its parts grows with the square of the rpm.",
        ],
        Field::OperationKind => [
            "What the tool does there: faces, slots, cuts a side, drills.",
            "Forces and chip loads of another kind of cut are not those of this one.",
        ],
        Field::Surface => [
            "Name what the tip is brought to: it must lie still and be bare of chips.",
            "Z is off by the height between that surface and the one that you touched.",
        ],
        Field::Height => [
            "Callipers or a gauge block from Z0 of the program up to that surface; below Z0 with a minus.",
            "Every depth is off by the error: too deep by it, or in the air.",
        ],
        Field::Shim => [
            "Micrometer on the paper or shim, pressed as at the touch; 0 when the tip touches bare.",
            "Every depth is off by the error, and paper is seldom 0.1 mm.",
        ],
        Field::Touch => [
            "Spindle off. Bring the tip down until the shim just grips, set Z as the page says, read it.",
            "A tool that is set too low plunges into the part on its first move.",
        ],
        Field::Rpm => [
            "Set it here to see the rest follow, or as the belt or knob has it.",
            "Too fast burns the edge or shakes, too slow with the same feed overloads each tooth.",
        ],
        Field::ReadRpm => [
            "A tachometer on the spindle while it cuts, or what the control shows then.",
            "The override follows from it: read too high, each tooth takes more than planned.",
        ],
        Field::SurfaceSpeed => [
            "How fast the edge passes the metal: from the table of the tool or the material.",
            "Too fast burns the edge, too slow welds chips to it.",
        ],
        Field::ChipLoad => [
            "What one tooth takes at each pass: from the table of the tool.",
            "Too much breaks the tooth, too little rubs, heats and hardens the metal.",
        ],
        Field::Feed => [
            "How fast the table goes; it follows from rpm, flutes and chip load.",
            "Too fast overloads each tooth, too slow rubs.",
        ],
        Field::Depth => [
            "How deep one pass goes along the tool.",
            "Deeper than the recipe, the tool bends, the mill stalls or the part is pulled up.",
        ],
        Field::Stepover => [
            "How much of the width is new metal in one pass.",
            "Wider than the recipe, forces and heat grow with it.",
        ],
        Field::Pilot => [
            "Callipers across the hole that is drilled already, or the size of its drill; 0 for none.",
            "Without the hole the drill pushes several times as hard: the head stalls or the drill breaks.",
        ],
        Field::Thread => [
            "From the drawing: the size, and the pitch where it is not the coarse one, such as M6x0.75.",
            "With another pitch the mill cuts a thread that takes no screw; too thick for the hole, it breaks.",
        ],
        Field::Heard => [
            "A telephone or tuner held near while it sings, well away from the cutter: the pitch in Hz.",
            "The recipe keeps away from it: a wrong pitch leads the teeth back to it.",
        ],
        Field::Raise => [
            "By how much you raised Z at the control: the old reading at the reference less the new one.",
            "Raised less than the deepest cut, the air run cuts into the part.",
        ],
        Field::PutBack => [
            "Put Z back, bring the tool to the reference, spindle off, and read Z there.",
            "A Z that is still raised cuts air; one that is too low plunges into the part.",
        ],
        Field::NoAir => [
            "A number from the list or words of your own; it stays in the record.",
            "A program that never ran clear of the part may crash at its first line.",
        ],
        Field::Reading(_) => [
            "The gauge named on the drawing, part clean and cool, spindle at rest.",
            "Let go on a wrong reading, the part cannot be cut again from this zero.",
        ],
        Field::SizeWhat => [
            "A name of the size, as on the drawing.",
            "A size without a name is measured at another place the next time.",
        ],
        Field::SizeNominal => [
            "The size on the drawing, without its tolerance.",
            "The verdict is held against it: wrong here, a good part is scrap and scrap is good.",
        ],
        Field::SizeUpper | Field::SizeLower => [
            "The deviation on the drawing with its sign: +0.02, -0.01, 0.",
            "With the wrong sign a good part is called scrap.",
        ],
        Field::SizeSide => [
            "Outside for what is measured over, inside for a bore or a slot.",
            "Taken for the other one, metal that is left is called missing, and the other way round.",
        ],
        Field::SizeBy => [
            "The operation that cuts this size: it is gauged before its tool comes out.",
            "Gauged with another tool in, metal that is left needs the first one set once more.",
        ],
        Field::OperationTitle => [
            "A name of the cut, as you will look for it.",
            "Two of one name are easily taken for each other.",
        ],
        Field::Lines(_) => [
            "Which lines of the program this operation runs: the operation that had them goes.",
            "Named wrongly, recipe and warnings belong to another cut.",
        ],
        Field::Rating(_) => [
            "How the cut went: 1 never again to 5 just so, then words.",
            "It is what you will go by the next time.",
        ],
        Field::Learned => [
            "What you would do otherwise the next time, in a sentence.",
            "What is not written down is learned once more.",
        ],
        Field::Words => [
            "Words of your own, or a number from the list.",
            "They stay in the record.",
        ],
        Field::Condition(place) => match KEYS.get(place).map(|key| key.name) {
            Some("lift_kg") => [
                "Scales, or length x width x height in cm x density / 1000.",
                "Lifted alone when too heavy, it falls on feet and hands.",
            ],
            Some("noise_dba") => [
                "A sound meter held at your ear while it cuts.",
                "Too loud for too long, hearing is lost for good and without pain; local rules say from how many dBA.",
            ],
            _ => [
                "Look at the mill and the shop as they are today; when in doubt, the answer that asks more.",
                "Lines of the lists follow from it: said wrong, one that you need is not asked.",
            ],
        },
        Field::ReturnError(_) => [
            "Spindle off, at the check point, the last approach from the side of the zero: how far off it is, with its sign.",
            "Read too small, a zero that moved is kept and the next cut is off by it.",
        ],
    }
}

/// How the value is written, where that is not plain from the choices beside it.
pub fn written(takes: &Takes) -> &'static str {
    match takes {
        Takes::Length | Takes::PositiveLength => {
            "Write it as you read it: 6, 6mm, .25in, 1/4\", 25 thou, #7."
        }
        Takes::SignedLength => "Write it as you read it, with its sign: -11.9, 6mm, -.25in.",
        Takes::Rpm => "Write rpm: 2900 or 10k.",
        Takes::SurfaceSpeed => "Write m/min, or another unit behind it: 170, 550 ft/min.",
        Takes::Feed => "Write mm/min, or another unit behind it: 300, 12 in/min.",
        Takes::Point => "Digits are the blank from above, then + top, * middle, - bottom: 5+.",
        Takes::KeepOut => "Five lengths with * between: 0*0*10*20*18.",
        Takes::Screw => "X*Y, then the thread M5, or diameter*height: 12*12*8.72*5.",
        Takes::Thread => "M6, M6x0.75, 1/4-20; by keypad 6 or 6*0.75.",
        Takes::Rating => "A digit from 1 to 5, then words.",
        Takes::Words => "Words of your own.",
        Takes::Number => "A number: 80.",
        Takes::Force => "Write newtons, or another unit behind it: 120, 27 lbf.",
        Takes::LineOrTime => "A line, such as 214, or minutes and seconds, such as 6/40 or 6:40.",
        Takes::Frequencies => "Hz, several with * between: 820*1640; none for no more of them.",
        Takes::Choice(_) => "Its number, or a part of its name.",
        Takes::Reason(_) => "Its number, or words.",
    }
}
