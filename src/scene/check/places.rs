//! Where single members begin and end: members, walls and columns that must be there.

use super::Check;
use super::grid::{ROLES, points};
use crate::scene::model::{Place, RoleName};
use crate::scene::suggest;

pub(super) fn check(check: &mut Check<'_>) {
    let scene = check.scene;
    for (i, member) in scene.members.iter().enumerate() {
        place(check, &format!("members[{i}].from"), &member.from);
        match &member.to {
            Some(to) => {
                place(check, &format!("members[{i}].to"), to);
                if *to == member.from {
                    let message = "ends where it begins: it would have no length";
                    check.at(&format!("members[{i}].to"), message);
                }
            }
            None if needs_two_ends(member.role) => {
                check.at(&format!("members[{i}]"), "says `from` but not `to`: where does it end?");
            }
            None => {}
        }
    }
}

fn needs_two_ends(role: RoleName) -> bool {
    !matches!(role, RoleName::Clip | RoleName::Sill | RoleName::Sheet)
}

fn place(check: &mut Check<'_>, path: &str, place: &Place) {
    match place {
        Place::At(..) => {}
        Place::Permanent(name, _) => {
            let fitting: Vec<&str> =
                check.scene.permanent.iter().map(|p| p.name.as_str()).collect();
            check.known(&format!("{path}[0]"), "wall or column", name, fitting);
        }
        Place::Head(name) | Place::Foot(name) => member(check, &format!("{path}[0]"), name, true),
        Place::On(name, height) => {
            member(check, &format!("{path}[0]"), name, false);
            if !(height.si().is_finite() && height.si() >= 0.0) {
                check.at(&format!("{path}[1]"), "must not be less than zero");
            }
        }
    }
}

/// A single member, or one of a block; only posts have a head and a foot.
fn member(check: &mut Check<'_>, path: &str, name: &str, post: bool) {
    let scene = check.scene;
    let no_head = "only a post has a head and a foot";
    if let Some(found) = scene.members.iter().find(|m| m.name == name) {
        if post && !matches!(found.role, RoleName::Post | RoleName::Prop) {
            check.at(path, no_head);
        }
        return;
    }
    let mut parts = name.splitn(3, '.');
    let (block, role) = (parts.next().unwrap_or(""), parts.next().unwrap_or(""));
    let rest = parts.next().unwrap_or("");
    if !scene.blocks.iter().any(|b| b.name == block) {
        let mut fitting: Vec<&str> = scene.members.iter().map(|m| m.name.as_str()).collect();
        let close = match scene.blocks.iter().map(|b| b.name.as_str()) {
            blocks if name.contains('.') => suggest::closest(block, blocks),
            _ => None,
        };
        let close = close.map(|b| format!("{b}.{role}.{rest}"));
        fitting.extend(close.as_deref());
        let help = suggest::help(name, fitting)
            .or_else(|| Some("a block's members are called such as \"block.post.C4\"".to_owned()));
        check.help(path, format!("there is no member \"{name}\""), help);
        return;
    }
    if !ROLES.contains(&role) {
        let help = suggest::help(role, ROLES);
        check.help(path, format!("there is no member \"{name}\": \"{role}\" is no role"), help);
        return;
    }
    if post && role != "post" {
        check.at(path, no_head);
    }
    let Some(grid) = check.grids.get(block) else { return };
    if let Err(error) = points(grid, role, rest) {
        let close = suggest::closest(rest, grid.names());
        let help = close.map(|c| format!("did you mean \"{block}.{role}.{c}\"?"));
        check.help(path, format!("there is no member \"{name}\": {error}"), help);
    }
}
