//! Members in the words of the trade.

use super::super::StageContext;
use crate::assembly::model::Member;
use crate::assembly::{Assembly, MemberId, Role};
use crate::criteria::model::{Rule, Seen};
use crate::findings::SourceNote;

/// `print`, `memory` or `practice`.
#[must_use]
pub fn seen(seen: Seen) -> &'static str {
    match seen {
        Seen::Print => "print",
        Seen::Memory => "memory",
        Seen::Practice => "practice",
    }
}

/// A rule of the pack as a source.
#[must_use]
pub fn rule<T>(ctx: &StageContext<'_>, rule: &Rule<T>) -> SourceNote {
    SourceNote {
        title: if rule.from.is_empty() {
            ctx.pack.full_title()
        } else {
            format!("{}, {}", ctx.pack.full_title(), rule.from)
        },
        locator: rule.source.clone(),
        seen: seen(rule.seen).to_owned(),
    }
}

/// A post by its grid point, `C4`, with its block where the scene has several; a single member by
/// its name.
#[must_use]
pub fn short(assembly: &Assembly, id: MemberId) -> String {
    let member = assembly.member(id);
    match (&member.grid, &member.block) {
        (Some((from, _)), Some(block)) if member.is_post() => {
            if assembly.scene.blocks.len() > 1 {
                format!("{block} {from}")
            } else {
                from.clone()
            }
        }
        _ => member.name.clone(),
    }
}

/// `C4`, `C4 and C5`, `C4, C5 and 3 others`.
#[must_use]
pub fn posts(assembly: &Assembly, ids: &[MemberId]) -> String {
    list(&ids.iter().map(|&id| short(assembly, id)).collect::<Vec<_>>())
}

/// At most three names in a row.
#[must_use]
pub fn list(names: &[String]) -> String {
    match names {
        [] => "nothing".to_owned(),
        [a] => a.clone(),
        [a, b] => format!("{a} and {b}"),
        [a, b, c] => format!("{a}, {b} and {c}"),
        [a, b, rest @ ..] => format!("{a}, {b} and {} others", rest.len()),
    }
}

/// `C4–C5` for a member between two grid points; its name otherwise.
#[must_use]
pub fn bay(member: &Member) -> String {
    match &member.grid {
        Some((from, to)) if from != to => format!("{from}–{to}"),
        _ => member.name.clone(),
    }
}

/// `ledger C4–D4`.
#[must_use]
pub fn beam(assembly: &Assembly, id: MemberId) -> String {
    let member = assembly.member(id);
    if member.is_post() {
        return format!("post {}", short(assembly, id));
    }
    let role = match member.role {
        Role::Post => "post",
        Role::Prop => "prop",
        Role::Ledger => "ledger",
        Role::Joist => "joist",
        Role::Filler => "filler joist",
        Role::DropBeam => "drop beam",
        Role::Brace => "brace",
        Role::PlanBrace => "plan brace",
        Role::TieIn => "tie-in",
        Role::Clip => "clip",
        Role::Sill => "sill",
        Role::Sheet => "sheet",
    };
    match &member.grid {
        Some((from, to)) if from != to => format!("{role} {from}–{to}"),
        Some((from, _)) => format!("{role} {from}"),
        None => format!("{role} {}", member.name),
    }
}

/// First letter made a capital, for the start of a sentence.
#[must_use]
pub fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().collect::<String>() + letters.as_str()
    })
}
