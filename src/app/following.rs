//! Following the path of a program that is too long to be kept: it is read once more beside the screen and swept
//! through the blank, and nothing is cut before that is done.

use crate::app::checking;
use crate::app::effect::Effect;
use crate::app::model::Model;
use crate::app::posted;
use crate::check::against::Against;
use crate::check::rules;
use crate::check::sweep::Swept;
use crate::program::bounds::Bounds;
use crate::program::finding::Findings;
use crate::program::finding::Place;
use crate::program::summary::Summary;
use crate::session::moment::Moment;

/// What is to be followed: a program's content in a setup.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    /// SHA-256 of the file.
    pub sha256: String,
    /// The setup as the sweep sees it.
    pub setup: Against,
}

/// A path, and what following it has found once that is done.
#[derive(Clone, Debug, PartialEq)]
pub struct Followed {
    /// What is or was followed.
    pub path: Path,
    /// What was found; none while it is under way.
    pub swept: Option<Swept>,
}

/// What was found on the path of a program in the setup in work, where it had to be followed beside the screen.
pub(super) fn found<'a>(model: &'a Model, summary: &Summary) -> Option<&'a Swept> {
    let setup = checking::setup_of(model.state()?);
    let followed = model.work.as_ref()?.followed.as_ref()?;
    let is_same = followed.path.sha256 == summary.sha256 && followed.path.setup == setup;
    followed.swept.as_ref().filter(|_| is_same)
}

/// Asks that the path of the checked program be followed, when that is needed and not under way.
pub(super) fn ask(model: &mut Model) -> Option<Effect> {
    let state = model.state()?;
    let setup = checking::setup_of(state);
    let file = state.current_setup().program.as_ref()?.file.clone();
    let work = model.work.as_mut()?;
    let summary = &work.checked.as_ref()?.summary;
    if summary.kept.is_some() || setup.stock.is_none() || setup.zero.is_none() {
        return None;
    }
    let path = Path {
        sha256: summary.sha256.clone(),
        setup,
    };
    if work.followed.as_ref().is_some_and(|f| f.path == path) {
        return None;
    }
    work.followed = Some(Followed {
        path: path.clone(),
        swept: None,
    });
    Some(Effect::FollowPath(file, Box::new(path)))
}

/// The path was followed to its end, or could not be.
pub(super) fn done(
    model: &mut Model,
    outcome: Result<Swept, String>,
    path: &Path,
    at: Moment,
) -> Vec<Effect> {
    let Some(followed) = model
        .work
        .as_mut()
        .and_then(|work| work.followed.as_mut())
        .filter(|followed| followed.path == *path)
    else {
        // The setup is another by now, and its own path is under way.
        return vec![];
    };
    followed.swept = Some(outcome.unwrap_or_else(not_followed));
    posted::recheck(model, at)
}

/// What stands where the path could not be followed.
fn not_followed(why: String) -> Swept {
    let mut findings = Findings::default();
    findings.add(&rules::PATH_NOT_FOLLOWED, Place::FILE, 0, || {
        format!("The path was not followed through the blank: {why}.")
    });
    Swept {
        findings,
        cut: Bounds::EMPTY,
        passes: vec![],
        tops: vec![],
    }
}
