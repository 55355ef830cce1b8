//! The printable sheet: reads as XML, escapes, says what the permit says.

use super::fixture::Job;
use standwell::permit::{Asked, Picture, draft, html};
use standwell::record::PermitKind;

/// The page without its document type, which an XML reader of names need not know.
fn parsed(page: &str) -> roxmltree::Document<'_> {
    let body = page.strip_prefix("<!DOCTYPE html>\n").expect("a page");
    roxmltree::Document::parse(body).unwrap_or_else(|e| panic!("{e}"))
}

fn text_of(document: &roxmltree::Document<'_>) -> String {
    document.descendants().filter_map(|n| n.text()).collect::<Vec<_>>().join(" ")
}

#[test]
fn an_issued_sheet_reads_as_xml_and_has_its_parts() {
    let job = Job::new();
    let page = job.with(|basis| html(&job.issued(), basis));
    let document = parsed(&page);
    let text = text_of(&document);
    for part in [
        "ISSUED on 2026-03-10 by A. Sample, coordinator",
        "Permit to load",
        "F-01, revision B",
        "checked against F-01 B",
        "posts 4 of 4",
        "shipped:criteria/us.ron",
    ] {
        assert!(text.contains(part), "{part} in {text}");
    }
    assert!(!text.contains("CANNOT"));
    // Four posts drawn, and the two grid lines each way with their names.
    let svg = document
        .descendants()
        .find(|n| n.has_tag_name(("http://www.w3.org/2000/svg", "svg")))
        .unwrap();
    let white = |n: &roxmltree::Node<'_, '_>| {
        n.tag_name().name() == "rect" && n.attribute("fill") == Some("#fff")
    };
    assert_eq!(svg.descendants().filter(white).count(), 4);
    let names: Vec<&str> = svg
        .descendants()
        .filter(|n| n.tag_name().name() == "text")
        .filter_map(|n| n.text())
        .collect();
    for name in ["A", "B", "1", "2", "A1", "B2"] {
        assert!(names.contains(&name), "{name} in {names:?}");
    }
    assert!(names.contains(&"1.829 m"), "the dimension of 6 ft: {names:?}");
}

#[test]
fn what_people_wrote_is_escaped_and_a_refused_sheet_says_so() {
    let job = Job::new();
    let nasty = "<script>alert('x')</script> & \\\"quotes\\\" ]]>";
    job.change(
        "job.ron",
        "title: \"Harbour Lane, building C: landing\"",
        &format!("title: \"{nasty}\""),
    );
    job.change(
        "job.asbuilt.ron",
        "evidence: [\"report 3\"]",
        "evidence: [\"</td><td onclick='x'>\"]",
    );
    job.change("job.asbuilt.ron", "\"main.filler.*\", ", "");
    let page = job.with(|basis| html(&draft(basis, PermitKind::Load, &Asked::default()), basis));
    assert!(!page.contains("<script"), "escaped");
    let document = parsed(&page);
    let text = text_of(&document);
    assert!(text.contains("<script>alert('x')</script> & \"quotes\" ]]>"), "{text}");
    assert!(text.contains("</td><td onclick='x'>"));
    assert!(text.contains("CANNOT BE ISSUED") && !text.contains("ISSUED on"));
    assert!(!document.descendants().any(|n| n.attribute("onclick").is_some()));
}

/// The page of a void permit says so first and largest, and nowhere that it counts.
#[test]
fn a_void_sheet_says_so_first() {
    let job = Job::new();
    let issued = job.issued();
    job.write("job.ron", &format!("{}// <b>\n", job.read("job.ron")));
    let day = Some("2026-03-11".parse().unwrap());
    let voids = standwell::permit::at_a_glance(&issued, &job.path("job.ron"), day);
    assert_eq!(voids, [standwell::permit::Void::Changed("job.ron".to_owned())]);
    let page = standwell::permit::void_html(&issued, &voids);
    let document = parsed(&page);
    let body = document.descendants().find(|n| n.has_tag_name("body")).unwrap();
    let texts: Vec<&str> = body
        .descendants()
        .filter_map(|n| n.text())
        .map(str::trim)
        .filter(|t| !t.is_empty())
        .collect();
    assert_eq!(texts[0], "✕ VOID");
    assert!(texts.contains(&"job.ron was changed since it was issued"), "{texts:?}");
    assert!(texts.iter().any(|t| t.contains("Was issued on 2026-03-10 by A. Sample")));
    assert!(!page.contains("ISSUED") && !page.contains("<b>"));
    // After its last day it is void too.
    let late = Some("2026-03-13".parse().unwrap());
    job.write("job.ron", job.read("job.ron").trim_end_matches("// <b>\n"));
    let voids = standwell::permit::at_a_glance(&issued, &job.path("job.ron"), late);
    assert_eq!(voids, [standwell::permit::Void::Ended("2026-03-12".to_owned())]);
}

/// A photo that the record names and that is not there is said on the sheet.
#[test]
fn a_photo_that_is_not_there_is_on_the_sheet() {
    let job = Job::new();
    job.change("job.asbuilt.ron", "fixed: true),", "fixed: true, photo: \"brace.jpg\"),");
    let page = |job: &Job| {
        job.with(|basis| html(&draft(basis, PermitKind::Load, &Asked::default()), basis))
    };
    assert!(page(&job).contains("photo brace.jpg is not there"));
    std::fs::write(job.path("brace.jpg"), b"x").unwrap();
    assert!(!page(&job).contains("brace.jpg is not there"));
}

#[test]
fn pictures_are_in_the_page_and_bound() {
    let job = Job::new();
    let png = std::fs::read(super::fixture::root("assets/pictures/faulty-floor.png")).unwrap();
    std::fs::write(job.path("deck.png"), &png).unwrap();
    let picture = [Picture { path: job.path("deck.png"), bytes: png }];
    job.with(|basis| {
        let basis = standwell::permit::Basis { pictures: &picture, ..*basis };
        let draft = draft(&basis, PermitKind::Load, &Asked::default());
        assert_eq!(draft.pictures[0].path, "deck.png");
        let page = html(&draft, &basis);
        let document = parsed(&page);
        let image = document.descendants().find(|n| n.tag_name().name() == "img").unwrap();
        assert!(image.attribute("src").unwrap().starts_with("data:image/png;base64,iVBORw0KGgo"));
        let issued = standwell::permit::issue(&draft, &super::fixture::issuer()).unwrap();
        let voids = |permit| {
            let day = Some("2026-03-11".parse().unwrap());
            standwell::permit::verify(permit, &job.path("job.ron"), day, &|_, _| true)
        };
        assert_eq!(voids(&issued), []);
        std::fs::write(job.path("deck.png"), b"another").unwrap();
        assert_eq!(voids(&issued), [standwell::permit::Void::Changed("deck.png".to_owned())]);
    });
}
