//! Parts named in a scene must be in its equipment.

use super::Check;
use crate::equipment::Library;
use crate::equipment::lookup::PartKind;
use crate::scene::model::{Block, RoleName};

const ALL: [PartKind; 7] = [
    PartKind::Post,
    PartKind::Beam,
    PartKind::Brace,
    PartKind::Jack,
    PartKind::Sill,
    PartKind::Clip,
    PartKind::Sheet,
];

/// A part named at a path; without a kind any part fits.
struct Due<'a> {
    path: String,
    kind: Option<PartKind>,
    name: &'a str,
}

pub(super) fn check(check: &mut Check<'_>) {
    let Some(library) = check.library else { return };
    let mut due = Vec::new();
    for (i, block) in check.scene.blocks.iter().enumerate() {
        of_block(&format!("blocks[{i}]"), block, &mut due);
    }
    for (i, member) in check.scene.members.iter().enumerate() {
        let kind = Some(kind_of(member.role));
        due.push(Due { path: format!("members[{i}].part"), kind, name: &member.part });
        let path = format!("members[{i}].sill");
        due.extend(member.sill.iter().map(|name| Due {
            path: path.clone(),
            kind: Some(PartKind::Sill),
            name,
        }));
    }
    for Due { path, kind, name } in due {
        let (word, fitting) = match kind {
            Some(kind) => (kind.word(), library.names(kind)),
            None => ("part", any(library)),
        };
        check.known(&path, &format!("{word} in the equipment called"), name, fitting);
    }
}

fn any(library: &Library) -> Vec<&str> {
    ALL.iter().flat_map(|&kind| library.names(kind)).collect()
}

fn kind_of(role: RoleName) -> PartKind {
    match role {
        RoleName::Post | RoleName::Prop => PartKind::Post,
        RoleName::Ledger | RoleName::Joist | RoleName::DropBeam => PartKind::Beam,
        RoleName::Brace | RoleName::PlanBrace | RoleName::TieIn => PartKind::Brace,
        RoleName::Clip => PartKind::Clip,
        RoleName::Sill => PartKind::Sill,
        RoleName::Sheet => PartKind::Sheet,
    }
}

fn of_block<'a>(path: &str, block: &'a Block, due: &mut Vec<Due<'a>>) {
    let mut one = |field: String, kind: Option<PartKind>, name: Option<&'a String>| {
        due.extend(name.map(|name| Due { path: format!("{path}.{field}"), kind, name }));
    };
    one("post".to_owned(), Some(PartKind::Post), Some(&block.post));
    for (field, beams) in [("ledger", &block.ledger), ("joist", &block.joist)] {
        for (j, name) in beams.iter().enumerate() {
            one(format!("{field}[{j}]"), Some(PartKind::Beam), Some(name));
        }
    }
    one("sheet".to_owned(), Some(PartKind::Sheet), block.sheet.as_ref());
    one("brace".to_owned(), Some(PartKind::Brace), block.brace.as_ref());
    one("sill".to_owned(), Some(PartKind::Sill), block.sill.as_ref());
    one("jack".to_owned(), Some(PartKind::Jack), block.jack.as_ref());
    for (j, overhang) in block.overhangs.iter().enumerate() {
        one(format!("overhangs[{j}].clip"), Some(PartKind::Clip), overhang.clip.as_ref());
    }
    for (j, change) in block.overrides.iter().enumerate() {
        let kind = match change.members.split('.').next().unwrap_or("") {
            "post" => Some(PartKind::Post),
            "ledger" | "joist" | "filler" => Some(PartKind::Beam),
            "brace" | "plan" => Some(PartKind::Brace),
            "sill" => Some(PartKind::Sill),
            "clip" => Some(PartKind::Clip),
            "sheet" => Some(PartKind::Sheet),
            _ => None,
        };
        one(format!("overrides[{j}].part"), kind, change.part.as_ref());
        one(format!("overrides[{j}].jack"), Some(PartKind::Jack), change.jack.as_ref());
        one(format!("overrides[{j}].sill"), Some(PartKind::Sill), change.sill.as_ref());
    }
}
