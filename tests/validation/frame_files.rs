//! Reading the frames and values kept in `tests/validation/data`.

use standwell::mechanics::neutral::{self, Neutral};

fn text(name: &str) -> String {
    let path = format!("{}/tests/validation/data/{name}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"))
}

pub fn frame(name: &str) -> Neutral {
    neutral::read(&text(&format!("frames/{name}.json"))).unwrap()
}

pub fn values(name: &str) -> serde_json::Value {
    serde_json::from_str(&text(name)).unwrap()
}

/// Percent error.
pub fn error(computed: f64, expected: f64) -> f64 {
    100.0 * (computed - expected).abs() / expected.abs()
}

/// Prints one row of expected and computed, and holds the error against a limit in percent.
pub fn compare(what: &str, computed: f64, expected: f64, percent: f64) {
    let error = error(computed, expected);
    println!("{what:44} expected {expected:14.7e} computed {computed:14.7e} error {error:9.2e} %");
    assert!(error <= percent, "{what}: {computed} against {expected}: {error} %");
}
