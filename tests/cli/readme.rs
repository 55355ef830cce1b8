//! The README is true: its reference names every field, its table every hazard.

use std::path::Path;

fn text(path: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// Names of public fields, and of enum variants, in a file of plain types.
fn words_of_a_scene(model: &str) -> Vec<String> {
    let mut words = Vec::new();
    let mut within_enum = None;
    for line in model.lines() {
        if let Some(rest) = line.strip_prefix("pub enum ") {
            within_enum = rest.split([' ', '{']).next();
        } else if line == "}" {
            within_enum = None;
        }
        let trimmed = line.trim();
        if let Some((name, _)) = trimmed.strip_prefix("pub ").and_then(|r| r.split_once(':')) {
            words.push(name.to_owned());
        } else if within_enum.is_some() && trimmed.starts_with(|c: char| c.is_ascii_uppercase()) {
            let end = trimmed.find(|c: char| !c.is_alphanumeric()).unwrap_or(trimmed.len());
            words.push(trimmed[..end].to_owned());
        }
    }
    words
}

fn snake_case(word: &str) -> String {
    let mut out = String::new();
    for (i, c) in word.chars().enumerate() {
        if c.is_ascii_uppercase() && i > 0 {
            out.push('_');
        }
        out.push(c.to_ascii_lowercase());
    }
    out
}

/// Code spans of the README's text, cut into words.
fn code_words(readme: &str) -> Vec<&str> {
    readme
        .split('`')
        .skip(1)
        .step_by(2)
        .flat_map(|span| span.split(|c: char| !(c.is_alphanumeric() || c == '_')))
        .collect()
}

#[test]
fn the_reference_names_every_field_and_choice_of_a_scene() {
    let readme = text("README.md");
    let reference = readme.split("## The scene file").nth(1).expect("the scene reference");
    let known = code_words(reference);
    let files = ["mod", "site", "block", "member", "step", "cycle", "change", "pour", "strip"];
    let model: String = files.iter().map(|f| text(&format!("src/scene/model/{f}.rs"))).collect();
    let words = words_of_a_scene(&model);
    assert!(words.len() > 120, "the model was read: {} words", words.len());
    let missing: Vec<&String> = words
        .iter()
        .filter(|word| !word.starts_with("const ") && !word.starts_with("use "))
        .filter(|word| *word != "actions" && *word != "action")
        // Worked out while reading, never written.
        .filter(|word| *word != "found")
        .filter(|word| {
            !known.contains(&word.as_str()) && !known.contains(&snake_case(word).as_str())
        })
        .collect();
    assert!(missing.is_empty(), "not in the README's scene reference: {missing:?}");
    assert!(known.contains(&"do"), "`actions` is written `do`");
}

const BEGIN: &str =
    "<!-- hazards: begin (UPDATE=1 cargo test --no-default-features --test core readme) -->\n";
const END: &str = "<!-- hazards: end -->";

fn hazards() -> String {
    let mut table =
        "| code | hazard | at worst | what it is |\n| --- | --- | --- | --- |\n".to_owned();
    for hazard in standwell::checks::REGISTER {
        let (code, name) = (hazard.code, hazard.name);
        let worst = hazard.severity.words();
        table.push_str(&format!("| {code} | `{name}` | {worst} | {} |\n", hazard.summary));
    }
    table
}

#[test]
fn the_table_of_hazards_is_the_register() {
    let readme = text("README.md");
    let (before, rest) = readme.split_once(BEGIN).expect("where the table begins");
    let (_, after) = rest.split_once(END).expect("where the table ends");
    let due = format!("{before}{BEGIN}{}{END}{after}", hazards());
    if std::env::var_os("UPDATE").is_some() {
        std::fs::write(Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md"), &due).unwrap();
        return;
    }
    assert!(readme == due, "write the README's table anew, as it says beside the table");
}

#[test]
fn the_readme_names_every_command_and_the_two_of_a_new_machine() {
    let readme = text("README.md");
    let help = super::run::run(&["--help"]).stdout;
    let commands = help.split("Commands:\n").nth(1).unwrap().split("\n\n").next().unwrap();
    let mut count = 0;
    for line in commands.lines().filter(|line| line.starts_with("  ") && !line.starts_with("   ")) {
        let command = line.split_whitespace().next().unwrap();
        assert!(readme.contains(&format!("| `{command}")), "{command}");
        count += 1;
    }
    assert!(count >= 8, "{help}");
    let first = readme.split("```sh\n").nth(1).unwrap().split("```").next().unwrap();
    let words: Vec<&str> = first.lines().filter_map(|line| line.split('#').next()).collect();
    assert_eq!(words.iter().map(|w| w.trim()).collect::<Vec<_>>(), ["cargo run", "cargo test"]);
    assert!(text(".ci/run").contains("\ncargo test 2>&1"), "checks run the README's test command");
}
