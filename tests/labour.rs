//! Planting spread over winters as hands allow.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that stops has failed"
)]

mod support;

use support::{expect, scratch, small, text, written};

/// Plans the small site, with further rules.
fn planned(rules: &str) -> serde_json::Value {
    let folder = scratch();
    small::write(folder.path());
    small::replace(folder.path(), "site.toml", "[zones]", &format!("{rules}\n[zones]"));
    expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
    written::json(&folder.path().join("plan"))
}

#[test]
fn planting_waits_for_a_winter_with_hands() {
    let unlimited = planned("[mosaic]\nfirst_season = 2027\nseasons = 2");
    let days = |plan: &serde_json::Value, season: usize| {
        plan["seasons"][season]["person_days"].as_f64().unwrap()
    };
    let whole = days(&unlimited, 0);
    assert!(days(&unlimited, 1).abs() < 1e-9 && whole > 2.0, "{whole}");
    assert!(unlimited["seasons"][0]["crew_days"].is_null());
    // More than half of it a winter, less than all.
    let most = (whole * 0.6).ceil();
    let rules = format!(
        "[mosaic]\nfirst_season = 2027\nseasons = 2\n[labour]\npeople = 2\ndays = {}",
        (most / 2.0).ceil()
    );
    let most = 2.0 * (most / 2.0).ceil();
    let staged = planned(&rules);
    for season in 0..2 {
        let worked = days(&staged, season);
        assert!(worked > 0.0 && worked <= most + 1e-5, "{worked} of {most} in {season}");
        let crew = staged["seasons"][season]["crew_days"].as_f64().unwrap();
        assert!((crew - (worked / 2.0).ceil()).abs() < 1e-9, "{crew} days for {worked}");
        let own = staged["blocks"].as_array().unwrap().iter();
        let own = own.filter(|block| block["season"] == 2027 + season);
        let summed: f64 = own.map(|block| block["person_days"].as_f64().unwrap()).sum();
        assert!((summed - worked).abs() < 1e-6);
    }
    let area = |plan: &serde_json::Value| plan["totals"]["planted_plan_ha"].as_f64().unwrap();
    assert!((area(&staged) - area(&unlimited)).abs() < 0.02 * area(&unlimited), "nothing is left");
    let binding = staged["solution"]["binding"].to_string();
    assert!(binding.contains("the planting days of 2027 are used up"), "{binding}");
}

/// What one winter has no hands for is left, and the reason says so.
#[test]
fn ground_without_hands_is_left_and_told() {
    let plan = planned("[labour]\npeople = 1\ndays = 4");
    let zones = plan["zones"].as_array().unwrap();
    let reasons: Vec<&str> =
        zones.iter().map(|zone| zone["left_reason"].as_str().unwrap()).collect();
    assert!(reasons.iter().any(|reason| reason.contains("planting days")), "{reasons:?}");
    assert!(plan["totals"]["person_days"].as_f64().unwrap() <= 4.0 + 1e-5);
}

#[test]
fn days_without_people_are_refused() {
    let folder = scratch();
    small::write(folder.path());
    small::replace(folder.path(), "site.toml", "[zones]", "[labour]\ndays = 9\n[zones]");
    let refused = expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 2);
    assert!(text(&refused.stderr).contains("labour.days"), "{}", text(&refused.stderr));
}
