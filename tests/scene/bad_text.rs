//! Scenes that do not read, each the sound one with one change: what is said, and where.

use super::reads::{file, sound};
use standwell::scene::{self, Problem};

/// The sound scene with one text in place of another, which must be there once.
pub fn changed(from: &str, to: &str) -> String {
    let text = sound();
    assert_eq!(text.matches(from).count(), 1, "{from:?} must be in the scene once");
    text.replace(from, to)
}

/// All problems of a text that lies beside the sound scene.
pub fn problems(text: &str) -> Vec<Problem> {
    match scene::read(text, &file("changed.ron")) {
        Ok(_) => panic!("reads without a problem"),
        Err(problems) => problems.0,
    }
}

/// Line and column, from 1, of a text that is there once.
pub fn place(text: &str, at: &str) -> (usize, usize) {
    assert_eq!(text.matches(at).count(), 1, "{at:?} must be there once");
    let byte = text.find(at).unwrap();
    let line = text[..byte].lines().count().max(1);
    let start = text[..byte].rfind('\n').map_or(0, |i| i + 1);
    let line = if text[..byte].ends_with('\n') { line + 1 } else { line };
    (line, text[start..byte].chars().count() + 1)
}

/// Exactly one problem, there, with this message and help.
#[track_caller]
pub fn one(text: &str, at: &str, message: &str, help: Option<&str>) {
    let found = problems(text);
    let shown: Vec<String> = found.iter().map(ToString::to_string).collect();
    assert_eq!(found.len(), 1, "{}", shown.join("\n"));
    let problem = &found[0];
    assert_eq!(problem.message, message);
    assert_eq!((problem.line, problem.column), place(text, at), "{problem}");
    assert_eq!(problem.file, file("changed.ron"));
    assert_eq!(problem.help.as_deref(), help, "{problem}");
}

#[test]
fn not_ron() {
    let text = changed("title: \"Small floor\",", "title \"Small floor\",");
    one(&text, " \"Small floor\"", "a colon is missing after the field name `title`", None);
    let text = changed("criteria: \"us\",", "criteria: \"us\"");
    one(&text, "\n    crew:", "a comma is missing before `crew`", None);
    let text = changed("crew: (size: 3),", "crew: (size: 3],");
    let message = "`]` where `)` is due to close the `(` of line 8";
    one(&text, "],\n    floors", message, None);
    let text = changed("crew: (size: 3),", "crew: @3,");
    one(&text, "@3", "the character '@' has no meaning here", None);
    one("{", "{", "this `{` is never closed", None);
    one("(format: 1, title: \"never ends)", "\"never", "this \" is never closed", None);
    one("(format: 1) ( ", "( ", "`(` after the end of the document", None);
}

#[test]
fn a_quantity_without_quotes() {
    let text = changed("head: \"9 ft\",", "head: 9 ft,");
    let help = Some("a quantity is written in quotes, such as \"9 ft\"");
    one(&text, " ft,\n        post", "a comma is missing before `ft`", help);
}

#[test]
fn empty_files() {
    for text in ["", "  \n", "// nothing\n"] {
        let found = problems(text);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].message, "the file is empty");
        assert_eq!((found[0].line, found[0].column), (1, 1));
    }
}

#[test]
fn something_else_than_a_scene() {
    let found = problems("[1, 2]");
    assert_eq!(found[0].message, "a list where a record `(name: value, …)` is due");
    assert_eq!((found[0].line, found[0].column), (1, 1));
    let found = problems("{\"format\": 1}");
    assert_eq!(found[0].message, "a map `{…}` where a record `(name: value, …)` is due");
}

#[test]
fn wrong_types() {
    let text = changed("crew: (size: 3),", "crew: (size: \"three\"),");
    let message = "the text \"three\" where a whole number, zero or more, is due";
    one(&text, "\"three\"", message, None);
    let text = changed("fillers: 2,", "fillers: -2,");
    one(&text, "-2,\n", "the number -2 where a whole number, zero or more, is due", None);
    let text = changed("rail: true", "rail: yes");
    one(&text, "yes", "the word `yes` where `true` or `false` is due", None);
    let text = changed("ledger: [\"ledger-6\"],", "ledger: \"ledger-6\",");
    one(&text, "\"ledger-6\",", "the text \"ledger-6\" where a list `[…]` is due", None);
    let text = changed("units: feet,", "units: \"feet\",");
    one(&text, "\"feet\"", "a text where `feet` without quotes is due", None);
    let text = changed("kind: Slab)", "kind: Slap)");
    let help = Some("did you mean \"Slab\"?");
    one(&text, "Slap)", "`Slap` is not one of what fits here", help);
    let text = changed("from: (\"0 ft\", \"6 ft\")", "from: [\"0 ft\", \"6 ft\"]");
    one(
        &text,
        "[\"0 ft\", \"6 ft\"]",
        "square brackets where 2 values in round brackets is due",
        None,
    );
}

#[test]
fn bare_numbers_and_wrong_units() {
    let text = changed("head: \"9 ft\",", "head: 9,");
    let message = "a bare number where a length is due: write it with its unit (m, mm, cm, ft, \
                   in), such as \"1.8 m\" or \"6 ft 2 in\"";
    one(&text, "9,\n        post", message, None);
    let text = changed("head: \"9 ft\",", "head: \"9\",");
    one(&text, "\"9\"", message, None);
    let text = changed("head: \"9 ft\",", "head: \"9 kN\",");
    one(&text, "\"9 kN\"", "\"9 kN\" is not a length: units that fit are m, mm, cm, ft, in", None);
    let text = changed("every: \"6 ft\"", "every: 6.0");
    one(&text, "6.0", message, None);
}

#[test]
fn numbers_that_are_not_finite() {
    let text = changed("head: \"9 ft\",", "head: \"NaN m\",");
    one(&text, "\"NaN m\"", "\"NaN m\" is not a finite length", None);
    let text = changed("head: \"9 ft\",", "head: inf,");
    one(&text, "inf,", "\"inf\" is not a finite length", None);
    let text = changed("level: \"-2 ft\", kind", "level: \"-2 ft\", slope: (NaN, 0.0), kind");
    one(&text, "(NaN", "must be two finite numbers", None);
}

#[test]
fn unknown_fields_and_missing_ones() {
    let text = changed("stands_on: \"ground floor\",", "stand_on: \"ground floor\",");
    let found = problems(&text);
    assert_eq!(found.len(), 2, "{found:#?}");
    assert_eq!(found[0].message, "the field `stands_on` is missing");
    assert_eq!((found[0].line, found[0].column), place(&text, "(\n        name: \"main\""));
    assert_eq!(found[1].message, "there is no field `stand_on` here");
    assert_eq!((found[1].line, found[1].column), place(&text, "stand_on"));
    assert_eq!(found[1].help.as_deref(), Some("did you mean \"stands_on\"?"));
    assert_eq!(found[1].path, "blocks[0]");
}

#[test]
fn unknown_fields_of_choices() {
    let text = changed("Ground(bearing: \"2000 psf\")", "Ground(bering: \"2000 psf\")");
    let help = Some("did you mean \"bearing\"?");
    one(&text, "bering", "there is no field `bering` here", help);
    let text =
        changed("at: \"1 m\", weight: \"2 kN\"", "at: \"1 m\", wait: \"1 s\", weight: \"2 kN\"");
    let help = Some("did you mean \"at\"?");
    one(&text, "wait", "there is no field `wait` here", help);
}

#[test]
fn a_field_twice() {
    let text = changed("fillers: 2,", "fillers: 2, fillers: 3,");
    one(&text, "fillers: 3", "the field `fillers` is there twice", None);
}

#[test]
fn all_misfits_are_said_at_once() {
    let text = sound()
        .replace("head: \"9 ft\",", "head: 9,")
        .replace("thickness: \"8 in\",", "thickness: \"8 kN\",")
        .replace("fillers: 2,", "filers: 2,")
        .replace("role: prop,", "role: propp,");
    let found = problems(&text);
    let paths: Vec<&str> = found.iter().map(|p| p.path.as_str()).collect();
    assert_eq!(paths, ["slabs[0].thickness", "blocks[0].head", "blocks[0]", "members[0].role"]);
}

#[test]
fn misfits_do_not_hide_other_problems() {
    let text = sound()
        .replace("thickness: \"8 in\",", "thickness: 8,")
        .replace("width: \"1 ft\"", "width: \"0 ft\"");
    let found = problems(&text);
    assert_eq!(found.len(), 2, "{found:#?}");
    assert_eq!(found[0].path, "slabs[0].thickness");
    assert_eq!(found[1].path, "slabs[0].drop_beams[0].width");
}

/// A bad quantity loses no name, so a name that leads nowhere is said with it; a list that is lost
/// takes its names along, and what refers to them is not blamed.
#[test]
fn unknown_names_beside_misfits() {
    let text = sound()
        .replace("thickness: \"8 in\",", "thickness: 8,")
        .replace("stands_on: \"pit\"", "stands_on: \"pitt\"");
    let found = problems(&text);
    let paths: Vec<&str> = found.iter().map(|p| p.path.as_str()).collect();
    assert_eq!(paths, ["slabs[0].thickness", "blocks[0].offsets[0].stands_on"]);
    let text = sound().replace("floors: [", "flors: [");
    one(&text, "flors", "there is no field `flors` here", Some("did you mean \"floors\"?"));
}

#[test]
fn format_numbers() {
    let text = changed("format: 1,", "format: 2,");
    let message = "written by a newer version of this program: format 2, and this version reads \
                   up to 1";
    one(&text, "2,\n    title", message, Some("open it with the newer version"));
    // What a newer version may write need not fit today's fields.
    let text = "(format: 7, jobs: [])";
    let found = problems(text);
    assert_eq!(found.len(), 1);
    assert!(found[0].message.starts_with("written by a newer version"), "{}", found[0]);
    assert_eq!((found[0].line, found[0].column), (1, 10));
    let text = changed("format: 1,", "");
    let found = problems(&text);
    assert_eq!(found[0].message, "the format number is missing");
    let text = changed("format: 1,", "format: \"one\",");
    let message = "the format number is a whole number such as 1, not \"one\"";
    one(&text, "\"one\"", message, None);
}
