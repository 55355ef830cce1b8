//! Compressions rounded up, so that a small change of force elsewhere leaves a member's matrix as it
//! is. More compression never makes a member stiffer: what is proven with more holds with less.

/// Rounds up to so many binary digits behind the leading one (six: by less than 1/64), from a least
/// value. Zero, and what is not a number, stays.
#[must_use]
pub fn round_up(compression: f64, least: f64, digits: u32) -> f64 {
    if !(compression > 0.0) {
        return compression;
    }
    let below = (1u64 << (52 - digits)) - 1;
    f64::from_bits((compression.max(least).to_bits() + below) & !below)
}

/// Rounds up to a power of two, from a least value: as far as one rounds so that little changes from stage to
/// stage.
#[must_use]
pub fn power_of_two(compression: f64, least: f64) -> f64 {
    round_up(compression, least, 0)
}

/// Rounds down to so many binary digits behind the leading one. What is not a positive number stays.
#[must_use]
pub fn round_down(value: f64, digits: u32) -> f64 {
    let below = (1u64 << (52 - digits)) - 1;
    if value > 0.0 { f64::from_bits(value.to_bits() & !below) } else { value }
}

/// Least and greatest rounded outwards, each by less than a ten-millionth of a newton: what follows is round-off
/// of solves, which would have to be kept for every stage.
#[must_use]
pub fn outwards(least: f64, greatest: f64) -> [f64; 2] {
    const STEPS: f64 = (1u64 << 24) as f64;
    // Greater ones, and what is not a number, stay.
    let is_small = |force: f64| force.abs() < 1e12;
    let down = if is_small(least) { (least * STEPS).floor() / STEPS } else { least };
    let up = if is_small(greatest) { (greatest * STEPS).ceil() / STEPS } else { greatest };
    [down, up]
}

#[cfg(test)]
mod tests {
    use super::{outwards, power_of_two, round_down, round_up};

    #[test]
    fn ranges_grow_by_next_to_nothing() {
        for k in -2000..2000 {
            let force = f64::from(k) * 1.013_f64.powi(k / 20) * 1.37;
            let [least, greatest] = outwards(force, force);
            assert!(least <= force && force - least < 1e-7, "{force} became {least}");
            assert!(greatest >= force && greatest - force < 1e-7, "{force} became {greatest}");
            assert_eq!(outwards(least, greatest), [least, greatest]);
        }
        let huge = [f64::NEG_INFINITY, f64::MAX, -1e300, f64::INFINITY];
        huge.into_iter().for_each(|force| assert_eq!(outwards(force, force), [force; 2]));
        assert!(outwards(f64::NAN, f64::NAN).iter().all(|force| force.is_nan()));
    }

    #[test]
    fn up_to_powers_of_two() {
        for (of, due) in [(0.0, 0.0), (1.0, 8.0), (8.0, 8.0), (8.1, 16.0), (300.0, 512.0)] {
            assert_eq!(power_of_two(of, 8.0), due);
        }
        assert!(power_of_two(f64::NAN, 8.0).is_nan());
    }

    #[test]
    fn down_by_little() {
        for k in 1..2000 {
            let c = 1.013f64.powi(k) * 1e-3;
            let down = round_down(c, 6);
            assert!(down <= c && down > c * (1.0 - 1.0 / 64.0), "{c} became {down}");
            assert_eq!(round_up(down, 0.0, 6).to_bits(), down.to_bits());
        }
        assert!(round_down(f64::NAN, 6).is_nan());
        assert_eq!(round_down(0.0, 6), 0.0);
        assert_eq!(round_down(f64::INFINITY, 6), f64::INFINITY);
    }

    #[test]
    fn never_down_by_little_up_and_what_is_unknown_stays() {
        let mut last = 0.0;
        for k in 1..2000 {
            let c = 1.013f64.powi(k) * 1e-3;
            let up = round_up(c, 20.0, 6);
            assert!(up >= c && up >= 20.0 && up >= last, "{c} became {up}");
            assert!(up <= 20.0 || up < c * (1.0 + 1.0 / 64.0), "{c} became {up}");
            assert_eq!(up.to_bits(), round_up(up, 20.0, 6).to_bits());
            last = up;
        }
        assert!(round_up(f64::NAN, 20.0, 6).is_nan());
        assert_eq!(round_up(0.0, 20.0, 6), 0.0);
        assert_eq!(round_up(f64::INFINITY, 20.0, 6), f64::INFINITY);
    }
}
