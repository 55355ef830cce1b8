//! Format numbers: looked at before typed reading, and the way up from older formats.
//!
//! Format 0 is the draft format: the scene's title was called `name`, and the crew was a bare
//! number (`crew: 3`). Format 1 is the present one.

use super::model::FORMAT;
use super::patch::Patch;
use super::problem::Problem;
use super::source::SceneSource;
use super::tree::{Kind, Tree};

/// A step up from one format to the next, as changes to the text.
type Step = fn(&Tree, &str) -> Vec<Patch>;

/// The steps of scenes, from format 0 on: one for each older format.
const STEPS: [Step; FORMAT as usize] = [from_0];

/// Looks at a scene's format number and brings the text to the present format.
///
/// # Errors
/// When there is no number, or a newer version of this program wrote the file.
pub fn bring_up(source: &mut SceneSource) -> Result<(), Problem> {
    let Some(found) = number(source, FORMAT)? else { return Ok(()) };
    for step in STEPS.iter().skip(found as usize) {
        let patches = step(&source.tree, &source.text);
        source.step_up(&patches)?;
    }
    Ok(())
}

/// The format number of any of our documents, if it is at most `newest`. None where the
/// document is not a record; typed reading says so better.
///
/// # Errors
/// When there is no number, it is not a whole number, or it is newer.
pub fn number(source: &SceneSource, newest: u32) -> Result<Option<u32>, Problem> {
    let tree = &source.tree;
    let Some(root) = tree.root() else { return Ok(None) };
    let is_record = match tree.node(root).map(|n| &n.kind) {
        Some(Kind::Record { .. }) => true,
        Some(Kind::Tuple { items, .. }) => items.is_empty(),
        _ => false,
    };
    if !is_record {
        return Ok(None);
    }
    let Some(field) = tree.field(root, "format") else {
        let mut problem = source.problem_at("", "the format number is missing");
        problem.help = Some(format!("begin the file with `(format: {newest},`"));
        return Err(problem);
    };
    let range = source.range("format");
    let raw = source.text.get(range.clone()).unwrap_or("");
    let Ok(found) = raw.parse::<u32>() else {
        let at = tree.node(field.value).map_or(range, |n| n.range.clone());
        let message = format!("the format number is a whole number such as {newest}, not {raw}");
        return Err(Problem { path: "format".to_owned(), ..source.problem(&at, message) });
    };
    if found > newest {
        let mut problem = source.problem_at(
            "format",
            format!(
                "written by a newer version of this program: format {found}, and this version \
                 reads up to {newest}"
            ),
        );
        problem.help = Some("open it with the newer version".to_owned());
        return Err(problem);
    }
    Ok(Some(found))
}

/// `name` becomes `title`; a bare `crew: 3` becomes `crew: (size: 3)`.
fn from_0(tree: &Tree, text: &str) -> Vec<Patch> {
    let mut patches = Vec::new();
    let Some(root) = tree.root() else { return patches };
    if let Some(field) = tree.field(root, "format")
        && let Some(node) = tree.node(field.value)
    {
        patches.push(Patch { range: node.range.clone(), with: "1".to_owned() });
    }
    if let Some(field) = tree.field(root, "name") {
        patches.push(Patch { range: field.at.clone(), with: "title".to_owned() });
    }
    if let Some(field) = tree.field(root, "crew")
        && let Some(node) = tree.node(field.value)
        && node.kind == Kind::Number
    {
        let size = text.get(node.range.clone()).unwrap_or("");
        patches.push(Patch { range: node.range.clone(), with: format!("(size: {size})") });
    }
    patches
}
