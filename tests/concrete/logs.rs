//! Temperature logs: what is read, and that each kind of bad log is refused with its line.

use standwell::concrete::Log;

fn refused(text: &str) -> (usize, String) {
    let error = Log::read(text, None).expect_err(text);
    (error.line, error.to_string())
}

#[test]
fn hours_and_celsius() {
    let log = Log::read("hours,temperature C\n0,18\n0.5,19\n1.0,21\n", None).unwrap();
    assert_eq!(log.readings(), [(0.0, 18.0), (0.5, 19.0), (1.0, 21.0)]);
    let stretches: Vec<(f64, f64)> = log.stretches().collect();
    assert_eq!(stretches, [(18.5, 0.5), (20.0, 0.5)]);
    assert_eq!((log.hours(), log.longest_gap(), log.coldest()), (1.0, 0.5, 18.0));
}

#[test]
fn dates_and_fahrenheit_over_the_end_of_a_leap_february() {
    let text = "time, temperature F\n# north end\n2028-02-28 23:30, 68\n2028-02-29 00:00, 50\n2028-02-29T00:30, 50\n";
    let log = Log::read(text, None).unwrap();
    let hours: Vec<f64> = log.readings().iter().map(|r| (r.0 * 60.0).round() / 60.0).collect();
    assert_eq!(hours, [0.0, 0.5, 1.0]);
    assert!((log.readings()[0].1 - 20.0).abs() < 1e-12 && (log.coldest() - 10.0).abs() < 1e-12);
}

#[test]
fn bad_logs_are_refused_with_their_line() {
    let head = "hours,temperature C\n";
    for (text, line, words) in [
        ("", 0, "fewer than two"),
        ("hours,temperature C\n0,20\n", 0, "fewer than two"),
        ("hours,temp\n0,20\n0.5,20\n", 1, "not known"),
        ("0,20\n0.5,20\n", 1, "not known"),
        ("hours,temperature K\n0,293\n0.5,293\n", 1, "not known"),
    ] {
        let (at, told) = refused(text);
        assert!(at == line && told.contains(words), "{text:?}: {at} {told}");
    }
    for (rows, line, words) in [
        ("0,20\n0.5,20\n2.0,21\n", 4, "a gap from 0.5 h to 2 h"),
        ("0,20\n1.0,20\n", 3, "a gap"),
        ("0,20\n0.5,20\n0.25,20\n", 4, "out of order"),
        ("0,20\n0.5,20\n0.5,22\n", 4, "second reading"),
        ("0,20\n0.5,\n", 3, "no temperature"),
        ("0,20\n0.5,n/a\n", 3, "no temperature"),
        ("0,20\n0.5,NaN\n", 3, "no temperature"),
        ("0,20\n0.5,850\n", 3, "no temperature of concrete"),
        ("0,20\nhalf past,20\n", 3, "no time"),
        ("0,20\n0.5\n", 3, "1 columns"),
        ("0,20\n0.5,20,20\n", 3, "3 columns"),
        ("3,20\n3.5,20\n", 2, "not when the concrete was placed"),
    ] {
        let (at, told) = refused(&format!("{head}{rows}"));
        assert!(at == line && told.contains(words), "{rows:?}: {at} {told}");
    }
    for date in
        ["2026-02-29 10:00", "2026-13-01 10:00", "2026-01-01", "2026-01-01 25:00", "26-01-01 10:00"]
    {
        let (at, told) = refused(&format!("time,temperature C\n{date},20\n2026-03-01 10:30,20\n"));
        assert!(at == 2 && told.contains("no time"), "{date}: {told}");
    }
}

/// ASTM C1074 from memory: a reading every half hour in the first two days, every hour after.
#[test]
fn readings_are_due_more_often_in_the_first_two_days() {
    let mut text = "hours,temperature C\n".to_owned();
    let mut hours = 0.0;
    while hours <= 72.0 {
        text.push_str(&format!("{hours},20\n"));
        hours += if hours < 48.0 { 0.5 } else { 1.0 };
    }
    assert_eq!(Log::read(&text, None).unwrap().hours(), 72.0);
    let (_, told) = refused(&text.replace("60,20\n", ""));
    assert!(told.contains("a gap from 59 h to 61 h"), "{told}");
    // Whoever states another interval gets it.
    assert!(Log::read("hours,temperature C\n0,20\n6,22\n12,20\n", Some(6.0)).is_ok());
}
