//! Whether the surface that Z is set to is still there when the next tools are touched off on it, by the path that was just followed.

use crate::check::against::Against;
use crate::check::rules;
use crate::job::operation::OperationKind;
use crate::job::reference::TopLeft;
use crate::program::finding::Findings;
use crate::program::finding::Level;
use crate::program::finding::Place;
use crate::session::z_surface;
use crate::session::z_surface::Taken;

/// Runs the check; it needs the setup of a session.
pub fn check(tops: &[TopLeft], against: &Against, findings: &mut Findings) {
    let Some(setup) = &against.setup else {
        return;
    };
    let mut setup = setup.as_ref().clone();
    if let Some(program) = &mut setup.program {
        program.tops = tops.to_vec();
    }
    let Some(reference) = setup.z_reference.clone() else {
        return;
    };
    for (place, loss) in z_surface::losses(&setup) {
        let (cut_by, needed_by) = (&setup.operations[loss.by], &setup.operations[place]);
        let level = match loss.taken {
            Taken::Gone => Level::Warn,
            Taken::Partly if cut_by.kind == OperationKind::Face => Level::Note,
            Taken::Partly => continue,
        };
        if needed_by.progress.is_done() {
            continue;
        }
        let line = cut_by.part.as_ref().map_or(0, |part| part.first_line);
        let place = Place {
            line,
            ..Place::FILE
        };
        findings.add_at(
            &rules::Z_REFERENCE_CUT,
            level,
            place,
            loss.by as u64,
            || {
                let stays: Vec<String> = z_surface::ways(&setup, &reference, &loss)
                    .into_iter()
                    .map(|way| way.words)
                    .collect();
                format!(
                    "{} The tool of \"{}\" is touched off after it. These stay: {}.",
                    z_surface::words(&setup, &reference, &loss),
                    needed_by.title,
                    stays.join("; ")
                )
            },
        );
    }
}
