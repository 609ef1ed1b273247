//! Numbers as drawings print them. A margin is never rounded up.

use ::rig::units::{Kind, Side, Units};

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

/// A force without its unit, in the units asked for; as [`kilonewtons`] it is rounded up.
pub fn force(units: Units, kn: f64) -> String {
    units.figure(Kind::Force, kn, &kilonewtons(kn), Side::Up)
}

/// A strength without its unit, in the units asked for, rounded down. Its tenth of a kN counts as a digit where it is a
/// nought too.
pub fn strength_in(units: Units, kn: f64) -> String {
    match units {
        Units::Si => strength(kn),
        Units::Us => units.figure(Kind::Force, kn, &format!("{kn:.1}"), Side::Down),
    }
}

/// A length with its unit, in the units asked for: to so many decimals of a metre.
pub fn length(units: Units, metres: f64, decimals: usize) -> String {
    units.told(Kind::Length, metres, &format!("{metres:.decimals$}"), Side::Near)
}

/// The same without needless noughts: "22 m", "12.5 m".
pub fn short_length(units: Units, metres: f64) -> String {
    let shown = format!("{metres:.1}");
    units.told(Kind::Length, metres, shown.strip_suffix(".0").unwrap_or(&shown), Side::Near)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1 lbf is 4.4482 N and 1 ft 0.3048 m, so 22 kN are 4945.8 lbf, 1.551 kN 348.7 lbf, 12.5 m 41.01 ft.
    #[test]
    fn other_units_are_rounded_to_the_same_side() {
        assert_eq!((force(Units::Us, 1.551), force(Units::Si, 1.551)), ("349".into(), "1.56".into()));
        assert_eq!(
            (strength_in(Units::Us, 22.0), strength_in(Units::Si, 22.0)),
            ("4940".into(), "22".into())
        );
        assert_eq!(
            (force(Units::Us, f64::NAN), strength_in(Units::Us, f64::INFINITY)),
            ("?".into(), "?".into())
        );
        assert_eq!((length(Units::Us, 2.3, 1), length(Units::Si, 2.3, 1)), ("7.5 ft".into(), "2.3 m".into()));
        assert_eq!(
            (short_length(Units::Us, 12.5), short_length(Units::Si, 12.0)),
            ("41 ft".into(), "12 m".into())
        );
    }

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
