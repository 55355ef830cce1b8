//! The walk-through: stations from what was found, planned and not looked at; progress kept.

use standwell::record::PermitKind;
use standwell::record::model::{Record, Walked};
use standwell::review::{Review, judge};
use standwell::walk::{StationKind, Walk, html, walk};
use std::path::Path;
use std::sync::OnceLock;

fn faulty() -> &'static Review {
    static REVIEW: OnceLock<Review> = OnceLock::new();
    REVIEW.get_or_init(|| {
        let text = standwell::cli::shipped::find("faulty-floor").unwrap().text;
        judge(standwell::scene::read(text, Path::new("faulty-floor.ron")).unwrap(), &|_, _| true)
            .unwrap()
    })
}

fn of(record: &Record) -> Walk {
    let last = faulty().sequence.stages.len() - 1;
    walk(faulty(), record, PermitKind::Load, (last, last))
}

#[test]
fn every_root_from_watch_up_has_a_station_and_nothing_else_does() {
    let walk = of(&Record::default());
    let last = faulty().sequence.stages.len() - 1;
    let due = faulty()
        .findings
        .iter()
        .filter(|f| f.root.is_none() && (f.from_stage..=f.last_stage).contains(&last))
        .filter(|f| f.unknown || f.severity >= standwell::findings::Severity::Watch)
        .count();
    let found: Vec<_> = walk.stations.iter().filter(|s| s.kind == StationKind::Finding).collect();
    assert_eq!(found.len(), due);
    assert!(due >= 2, "J9 and the clip of M4 stay to the end");
    for station in found {
        assert!(
            !station.look.is_empty() && station.at.is_some() && station.eye.is_some(),
            "{station:?}"
        );
    }
    let ids: std::collections::BTreeSet<&str> =
        walk.stations.iter().map(|s| s.id.as_str()).collect();
    assert_eq!(ids.len(), walk.stations.len(), "ids are their own");
}

/// Nobody looked at anything: each part in place is at exactly one station for parts.
#[test]
fn parts_nobody_looked_at_are_at_one_station_each() {
    let walk = of(&Record::default());
    let mut names: Vec<&str> = walk
        .stations
        .iter()
        .filter(|s| s.kind == StationKind::Parts)
        .flat_map(|s| s.members.iter().map(String::as_str))
        .collect();
    let there = faulty().sequence.stages.last().unwrap();
    let standing =
        faulty().assembly.members.iter().filter(|m| there.state(m.id).is_there()).count();
    names.sort_unstable();
    let all = names.len();
    names.dedup();
    assert_eq!((all, names.len()), (standing, standing));
    let lines = walk.stations.iter().filter(|s| s.kind == StationKind::Parts).count();
    assert!((2..=13).contains(&lines), "a station a line, A to M: {lines}");
}

/// One stands outside what one looks at, at eye level above the floor.
#[test]
fn one_stands_outwards_at_eye_level() {
    for station in &of(&Record::default()).stations {
        let (Some(at), Some(eye)) = (station.at, station.eye) else { continue };
        assert!((eye[2] - 1.65).abs() < 1e-9, "{station:?}");
        assert!(((eye[0] - at[0]).hypot(eye[1] - at[1]) - 3.0).abs() < 1e-9, "{station:?}");
    }
}

/// The walk goes on to the nearest each time, and papers come first.
#[test]
fn the_route_is_short() {
    let walk = of(&Record::default());
    let first_on_site = walk.stations.iter().position(|s| s.at.is_some()).unwrap();
    let papers = [StationKind::HoldPoint, StationKind::ByEye];
    assert!(walk.stations[..first_on_site].iter().all(|s| papers.contains(&s.kind)));
    let places: Vec<[f64; 3]> =
        walk.stations[first_on_site..].iter().map(|s| s.at.unwrap()).collect();
    let far = |a: &[f64; 3], b: &[f64; 3]| (a[0] - b[0]).hypot(a[1] - b[1]);
    for (i, here) in places.iter().enumerate().take(places.len() - 1) {
        let next = far(here, &places[i + 1]);
        for other in &places[i + 2..] {
            assert!(next <= far(here, other) + 1e-9);
        }
    }
}

#[test]
fn the_last_word_on_a_station_counts() {
    let station = of(&Record::default()).stations[0].id.clone();
    let entry = |in_order, note: &str| Walked {
        station: station.clone(),
        by: "N. Sample".to_owned(),
        on: "2026-03-09".parse().unwrap(),
        in_order,
        note: note.to_owned(),
        photo: "p.jpg".to_owned(),
    };
    let mut record =
        Record { walked: vec![entry(false, "no"), entry(true, "yes")], ..Record::default() };
    let walk = of(&record);
    assert_eq!(walk.in_order(), 1);
    assert_eq!(walk.find(&station).unwrap().walked.as_ref().unwrap().note, "yes");
    assert_eq!(walk.find("1").unwrap().id, station);
    assert!(walk.find("0").is_none() && walk.find("9999").is_none());
    record.walked.reverse();
    assert_eq!(of(&record).in_order(), 0);
}

#[test]
fn the_page_reads_as_xml_with_a_screen_a_station() {
    let walk = of(&Record::default());
    let page = html(&walk, faulty());
    assert_eq!(page, html(&of(&Record::default()), faulty()), "same bytes");
    let document =
        roxmltree::Document::parse(page.strip_prefix("<!DOCTYPE html>\n").unwrap()).unwrap();
    let sections = document.descendants().filter(|n| n.tag_name().name() == "section").count();
    assert_eq!(sections, walk.stations.len() + 1);
}

/// Each hazard there is leads to something to look at; those of today have words of their own.
#[test]
fn every_hazard_has_something_to_look_at() {
    let mut finding = faulty().findings[0].clone();
    for hazard in standwell::checks::REGISTER {
        hazard.name.clone_into(&mut finding.hazard);
        let look = standwell::walk::look_for(&finding);
        assert!(look.iter().all(|l| !l.trim().is_empty()) && !look.is_empty(), "{}", hazard.name);
    }
}

/// What only eyes can tell is on the walk, each item once and with its clause, and ticked off like any
/// other station.
#[test]
fn what_only_eyes_can_tell_is_on_the_walk() {
    let items = standwell::by_eye::items(&faulty().assembly);
    let walk = of(&Record::default());
    let seen: Vec<_> = walk.stations.iter().filter(|s| s.kind == StationKind::ByEye).collect();
    assert!(!seen.is_empty());
    for station in &seen {
        let name = station.id.strip_prefix("eye:").unwrap();
        let item = items.iter().find(|i| i.name == name).expect(name);
        assert_eq!(station.look[0], item.look);
        assert!(station.known[0].starts_with(item.clause));
    }
    // The faulty floor is not poured: nothing of placing is on its walk.
    let due = |i: &&&standwell::by_eye::Item| {
        matches!(i.when, standwell::by_eye::When::Erecting | standwell::by_eye::When::BeforePlacing)
    };
    assert_eq!(seen.len(), items.iter().filter(due).count());
    let mut record = Record::default();
    record.walked.push(Walked {
        station: seen[0].id.clone(),
        by: "R. Sample".into(),
        on: "2026-03-09".parse().unwrap(),
        in_order: true,
        note: String::new(),
        photo: String::new(),
    });
    let walked = of(&record);
    assert!(walked.find(&seen[0].id).unwrap().walked.is_some());
}
