//! Numbers as drawings print them. A margin is never rounded up.

/// A margin: "9.2 : 1", rounded down to a tenth; "1000+ : 1" from a thousand on.
///
/// ```
/// assert_eq!(drawing::words::ratio(9.99), "9.9 : 1");
/// assert_eq!(drawing::words::ratio(0.849), "0.8 : 1");
/// ```
pub fn ratio(margin: f64) -> String {
    format!("{} : 1", tenths_down(margin))
}

/// A margin without its ": 1".
pub fn tenths_down(margin: f64) -> String {
    if !margin.is_finite() {
        return "?".to_string();
    }
    if margin >= 1000.0 {
        return "1000+".to_string();
    }
    // A hair of a rounding error above must not pull 9.2 down to 9.1.
    format!("{:.1}", ((margin + 1e-9) * 10.0).floor() / 10.0)
}

/// A force in kN: two decimals below 10, one below 100; ends that margins use are rounded up.
pub fn kilonewtons(force: f64) -> String {
    if !force.is_finite() {
        return "?".to_string();
    }
    let (digits, unit) = if force.abs() < 10.0 { (2, 100.0) } else { (1, 10.0) };
    format!("{:.digits$}", ((force - 1e-9) * unit).ceil() / unit + 0.0)
}

/// A strength in kN, rounded down, without needless decimals: "22", "12.2".
pub fn strength(force: f64) -> String {
    if !force.is_finite() {
        return "?".to_string();
    }
    let tenths = ((force + 1e-9) * 10.0).floor() / 10.0;
    if tenths.fract() == 0.0 { format!("{tenths:.0}") } else { format!("{tenths:.1}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_rounded_to_the_better_side() {
        assert_eq!(
            (ratio(10.0), ratio(9.999_999_999_9), ratio(2.05)),
            ("10.0 : 1".into(), "10.0 : 1".into(), "2.0 : 1".into())
        );
        assert_eq!(
            (ratio(9.98), ratio(f64::INFINITY), ratio(2500.0)),
            ("9.9 : 1".into(), "? : 1".into(), "1000+ : 1".into())
        );
        assert_eq!(
            (kilonewtons(1.551), kilonewtons(1.55), kilonewtons(0.0)),
            ("1.56".into(), "1.55".into(), "0.00".into())
        );
        assert_eq!((kilonewtons(12.34), kilonewtons(-0.0)), ("12.4".into(), "0.00".into()));
        assert_eq!(
            (strength(22.0), strength(12.29), strength(17.16)),
            ("22".into(), "12.2".into(), "17.1".into())
        );
    }
}
