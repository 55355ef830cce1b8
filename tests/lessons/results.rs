//! Results: JSON lines that survive a cut-off line, and CSV a spreadsheet reads as text.

use standwell::lessons::{ResultLine, append, csv, parse};

fn line(trainee: &str) -> ResultLine {
    ResultLine {
        format: 1,
        trainee: trainee.to_owned(),
        on: "2026-03-09".to_owned(),
        lesson: "first-tower".to_owned(),
        scene: "00".to_owned(),
        card: 2,
        step: "first".to_owned(),
        question: "May the crew, \"now\", go on?".to_owned(),
        answer: vec!["main.post.A1".to_owned(), "main.post.B1".to_owned()],
        seen: Vec::new(),
        missed: vec!["SW101 main.post.A1".to_owned()],
        raised: Vec::new(),
        right: false,
    }
}

#[test]
fn lines_are_added_and_a_cut_off_one_is_told_and_loses_no_other() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("results.jsonl");
    append(&path, &line("a")).unwrap();
    let whole = std::fs::read_to_string(&path).unwrap();
    std::fs::write(&path, format!("{whole}{}", &whole[..20])).unwrap();
    append(&path, &line("b")).unwrap();
    let (lines, wrong) = parse(&std::fs::read_to_string(&path).unwrap());
    assert_eq!(lines, [line("a"), line("b")]);
    assert_eq!(wrong.len(), 1);
    assert_eq!(wrong[0].0, 2);
}

/// RFC 4180, section 2: CRLF, quotes doubled; formulas kept from being formulas.
#[test]
fn csv_after_rfc_4180() {
    let text = csv(&[line("=cmd|x"), line("plain")]);
    let rows: Vec<&str> = text.split("\r\n").collect();
    assert_eq!(rows.len(), 4, "a heading, two rows, and nothing after the last line end");
    assert_eq!(rows[0].split(',').count(), 11);
    assert_eq!(
        rows[1],
        "'=cmd|x,2026-03-09,first-tower,2,first,\"May the crew, \"\"now\"\", go on?\",main.post.A1; main.post.B1,,SW101 main.post.A1,,no"
    );
    assert!(rows[2].starts_with("plain,"));
}
