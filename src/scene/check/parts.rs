//! Parts named in a scene must be in its equipment.

use super::Check;
use crate::equipment::Library;
use crate::scene::model::RoleName;

/// Names of a library's parts of one kind.
fn fitting<'a>(library: &'a Library, kind: &str) -> Vec<&'a str> {
    fn names<T>(parts: &std::collections::BTreeMap<String, T>) -> Vec<&str> {
        parts.keys().map(String::as_str).collect()
    }
    match kind {
        "post" => names(&library.posts),
        "ledger or joist" => names(&library.beams),
        "brace" => names(&library.braces),
        "jack" => names(&library.jacks),
        "sill" => names(&library.sills),
        "clip" => names(&library.clips),
        "sheet" => names(&library.sheets),
        _ => ["post", "ledger or joist", "brace", "jack", "sill", "clip", "sheet"]
            .iter()
            .flat_map(|kind| fitting(library, kind))
            .collect(),
    }
}

pub(super) fn check(check: &mut Check<'_>) {
    let Some(library) = check.library else { return };
    let mut due: Vec<(String, &str, &str)> = Vec::new();
    for (i, block) in check.scene.blocks.iter().enumerate() {
        let at = |field: &str| format!("blocks[{i}].{field}");
        due.push((at("post"), "post", &block.post));
        for (field, beams) in [("ledger", &block.ledger), ("joist", &block.joist)] {
            for (j, name) in beams.iter().enumerate() {
                due.push((at(&format!("{field}[{j}]")), "ledger or joist", name));
            }
        }
        let single = [
            ("sheet", &block.sheet),
            ("brace", &block.brace),
            ("sill", &block.sill),
            ("jack", &block.jack),
        ];
        for (kind, name) in single {
            due.extend(name.iter().map(|name| (at(kind), kind, name.as_str())));
        }
        for (j, overhang) in block.overhangs.iter().enumerate() {
            let path = at(&format!("overhangs[{j}].clip"));
            due.extend(overhang.clip.iter().map(|n| (path.clone(), "clip", n.as_str())));
        }
        for (j, change) in block.overrides.iter().enumerate() {
            let kind = match change.members.split('.').next().unwrap_or("") {
                "post" => "post",
                "ledger" | "joist" | "filler" => "ledger or joist",
                "brace" | "plan" => "brace",
                "sill" => "sill",
                "clip" => "clip",
                "sheet" => "sheet",
                _ => "part",
            };
            for (field, kind, name) in [
                ("part", kind, &change.part),
                ("jack", "jack", &change.jack),
                ("sill", "sill", &change.sill),
            ] {
                let path = at(&format!("overrides[{j}].{field}"));
                due.extend(name.iter().map(|n| (path.clone(), kind, n.as_str())));
            }
        }
    }
    for (i, member) in check.scene.members.iter().enumerate() {
        let kind = match member.role {
            RoleName::Post | RoleName::Prop => "post",
            RoleName::Ledger | RoleName::Joist | RoleName::DropBeam => "ledger or joist",
            RoleName::Brace | RoleName::PlanBrace | RoleName::TieIn => "brace",
            RoleName::Clip => "clip",
            RoleName::Sill => "sill",
            RoleName::Sheet => "sheet",
        };
        due.push((format!("members[{i}].part"), kind, &member.part));
        let sill = format!("members[{i}].sill");
        due.extend(member.sill.iter().map(|n| (sill.clone(), "sill", n.as_str())));
    }
    for (path, kind, name) in due {
        check.known(
            &path,
            &format!("{kind} in the equipment called"),
            name,
            fitting(library, kind),
        );
    }
}
