//! Units a report is asked for in. Everything is kept and reckoned in SI; where another unit is shown, each figure is
//! converted from the one SI value at the last moment, by the factors that define the unit.
//!
//! Factors, exact: 1 ft = 0.3048 m, 1 lbf = 4.448 221 615 260 5 N, 1 lb = 0.453 592 37 kg (NIST SP 811, 2008 edition,
//! appendix B.8). Rounding after B.7.2 of it: a converted figure has as many significant digits as the SI figure it stands
//! for, and one more only where it would else lose what that one says (its relative rounding error would be the larger:
//! 0.4 m is 1.3 ft, not 1 ft). It is rounded to the same side.

use serde::Deserialize;

/// Which units figures are shown in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Units {
    /// m, kN, kg.
    #[default]
    Si,
    /// ft, lbf, lb.
    Us,
}

/// What a figure is of. The SI unit it is handed over in stands beside it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// m.
    Length,
    /// kN.
    Force,
    /// kg.
    Mass,
    /// m/min.
    Speed,
}

/// To which side a figure is rounded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// To the nearest.
    Near,
    /// Never below what it stands for.
    Up,
    /// Never above it.
    Down,
}

/// A hair of a rounding error must not move a figure to the next one.
const HAIR: f64 = 1e-9;

impl Kind {
    /// Size of the US unit in the SI unit of the kind.
    fn us_size(self) -> f64 {
        match self {
            Kind::Length | Kind::Speed => 0.3048,
            Kind::Force => 4.448_221_615_260_5e-3,
            Kind::Mass => 0.453_592_37,
        }
    }
}

impl Units {
    /// Its word on the command line and in a report's data.
    pub fn word(self) -> &'static str {
        match self {
            Units::Si => "si",
            Units::Us => "us",
        }
    }

    /// The units of a word; `None` when there are none.
    pub fn of(word: &str) -> Option<Units> {
        [Units::Si, Units::Us].into_iter().find(|units| units.word() == word)
    }

    /// The unit of a kind ("m", "lbf").
    pub fn unit(self, kind: Kind) -> &'static str {
        match (self, kind) {
            (Units::Si, Kind::Length) => "m",
            (Units::Si, Kind::Force) => "kN",
            (Units::Si, Kind::Mass) => "kg",
            (Units::Si, Kind::Speed) => "m/min",
            (Units::Us, Kind::Length) => "ft",
            (Units::Us, Kind::Force) => "lbf",
            (Units::Us, Kind::Mass) => "lb",
            (Units::Us, Kind::Speed) => "ft/min",
        }
    }

    /// The value of a kind in these units, not rounded.
    pub fn value(self, kind: Kind, si: f64) -> f64 {
        match self {
            Units::Si => si,
            Units::Us => si / kind.us_size(),
        }
    }

    /// The SI value that stands behind a value in these units: for axes that count in their own unit.
    pub fn to_si(self, kind: Kind, value: f64) -> f64 {
        match self {
            Units::Si => value,
            Units::Us => value * kind.us_size(),
        }
    }

    /// A figure without its unit: in SI as `shown`, which is the value as it is written there; in other units with the
    /// digits that `shown` warrants.
    ///
    /// ```
    /// use rig::units::{Kind, Side, Units};
    /// // 22.0 kN / 4.448… N = 4945.8 lbf; three digits, down.
    /// assert_eq!(Units::Us.figure(Kind::Force, 22.0, "22.0", Side::Down), "4940");
    /// assert_eq!(Units::Si.figure(Kind::Force, 22.0, "22.0", Side::Down), "22.0");
    /// ```
    pub fn figure(self, kind: Kind, si: f64, shown: &str, side: Side) -> String {
        match self {
            Units::Si => shown.to_string(),
            Units::Us => rounded(si / kind.us_size(), shown, side),
        }
    }

    /// A figure with its unit.
    pub fn told(self, kind: Kind, si: f64, shown: &str, side: Side) -> String {
        format!("{} {}", self.figure(kind, si, shown, side), self.unit(kind))
    }

    /// A figure that stands with the word of its SI unit, as the parameters of a fall do; other units stay.
    pub fn of_word(self, unit: &str, si: f64, shown: &str) -> (String, String) {
        let kinds = [(Kind::Length, "m"), (Kind::Force, "kN"), (Kind::Mass, "kg"), (Kind::Speed, "m/min")];
        match kinds.into_iter().find(|(_, word)| *word == unit) {
            Some((kind, _)) => (self.figure(kind, si, shown, Side::Near), self.unit(kind).into()),
            None => (shown.into(), unit.into()),
        }
    }
}

/// Significant digits of a figure as it is written: "0.05" has one, "22.0" three. A written zero has none.
fn digits(shown: &str) -> usize {
    shown.chars().filter(char::is_ascii_digit).skip_while(|c| *c == '0').count()
}

/// First digits (1 to 10) and power of ten of a number, as its shortest writing has them: the same on every machine.
fn scientific(value: f64) -> (f64, i32) {
    let written = format!("{:e}", value.abs());
    let parts =
        written.split_once('e').and_then(|(lead, power)| Some((lead.parse().ok()?, power.parse().ok()?)));
    parts.unwrap_or((1.0, 0))
}

/// A value with the digits that its SI figure warrants; where that one is a written zero it is nothing here too.
fn rounded(value: f64, shown: &str, side: Side) -> String {
    if !value.is_finite() {
        return "?".into();
    }
    let mut digits = digits(shown);
    if digits == 0 || value == 0.0 {
        return "0".into();
    }
    let (lead, power) = scientific(value);
    // Half a last digit weighs the more, the smaller the first digits are.
    if lead < scientific(shown.parse().unwrap_or(1.0)).0 {
        digits += 1;
    }
    let last = power + 1 - i32::try_from(digits).unwrap_or(1);
    let step: f64 = format!("1e{}", last.abs()).parse().unwrap_or(1.0);
    let scaled = if last < 0 { value * step } else { value / step };
    let whole = match side {
        Side::Near => scaled.round(),
        Side::Up => (scaled - HAIR).ceil(),
        Side::Down => (scaled + HAIR).floor(),
    };
    let decimals = usize::try_from(-last).unwrap_or(0);
    let back = if last < 0 { whole / step } else { whole * step };
    let text = format!("{:.decimals$}", back + 0.0);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_string() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked by hand: value, as SI writes it, side, what comes out.
    #[test]
    fn a_table() {
        use {Kind::*, Side::*};
        for (kind, si, shown, side, wanted) in [
            // 22 / 0.3048 = 72.178; 17.4 from 17.3736 m = 57 ft to the letter; 0.42 m = 1.378 ft.
            (Length, 22.0, "22.0", Near, "72.2"),
            (Length, 17.3736, "17.4", Near, "57"),
            (Length, 0.42, "0.42", Near, "1.38"),
            (Length, 0.4, "0.4", Near, "1.3"),
            (Length, 0.0, "0.0", Near, "0"),
            // What SI writes as nothing is nothing here too.
            (Length, 0.04, "0.0", Near, "0"),
            // 1.551 kN = 348.68 lbf; written up as 1.56.
            (Force, 1.551, "1.56", Up, "349"),
            (Force, 12.34, "12.4", Up, "2780"),
            (Force, 0.042, "0.05", Up, "10"),
            // 17.16 kN = 3857.7 lbf, down.
            (Force, 17.16, "17.1", Down, "3850"),
            // 250 kg = 551.16 lb; 113.4 kg = 250.0 lb.
            (Mass, 250.0, "250", Near, "551"),
            (Mass, 113.398_092_5, "113.398", Near, "250"),
            (Speed, 4.2, "4.2", Near, "13.8"),
            // 5 kN = 1124.04 lbf: three digits would err by more than “5.00” does.
            (Force, 5.0, "5.00", Near, "1124"),
            (Force, -1.551, "-1.55", Near, "-349"),
        ] {
            assert_eq!(Units::Us.figure(kind, si, shown, side), wanted, "{si} {kind:?}");
            assert_eq!(Units::Si.figure(kind, si, shown, side), shown);
        }
        assert_eq!(Units::Us.figure(Force, f64::NAN, "?", Up), "?");
    }

    /// The figure stands where the value does, to half its last digit, or to a whole one on the side it is rounded to.
    #[test]
    fn every_figure_stands_for_its_value() {
        for n in 1..4000u32 {
            let si = f64::from(n) * 0.007_31;
            for (kind, factor) in
                [(Kind::Length, 0.3048), (Kind::Force, 0.004_448_221_615_260_5), (Kind::Mass, 0.453_592_37)]
            {
                let shown = format!("{si:.2}");
                let exact = si / factor;
                for side in [Side::Near, Side::Up, Side::Down] {
                    let text = Units::Us.figure(kind, si, &shown, side);
                    let got: f64 = text.parse().expect("a number");
                    if digits(&shown) == 0 {
                        assert_eq!(text, "0");
                        continue;
                    }
                    // The last digit, by another road: what the SI figure may be off, taken over.
                    let error = 0.005 / shown.parse::<f64>().expect("a number");
                    let mut last = 10f64.powf(exact.log10().floor() + 1.0 - digits(&shown) as f64);
                    if last / 2.0 / exact > error * 1.02 {
                        last /= 10.0;
                    }
                    let off = got - exact;
                    let within = match side {
                        Side::Near => off.abs() <= last / 2.0 + 1e-6,
                        Side::Up => (-1e-6..last).contains(&off),
                        Side::Down => (-last..1e-6).contains(&off),
                    };
                    assert!(within, "{si} as {shown}: {text} for {exact}");
                    assert!(
                        digits(text.trim_end_matches('0')) <= digits(&shown) + 1,
                        "{shown} told as {text}"
                    );
                }
            }
        }
    }

    #[test]
    fn words_of_units() {
        assert_eq!(
            (Units::of("us"), Units::of("si"), Units::of("ft")),
            (Some(Units::Us), Some(Units::Si), None)
        );
        assert_eq!(Units::Us.of_word("m", 0.5, "0.5"), ("1.6".into(), "ft".into()));
        assert_eq!(Units::Us.of_word("s", 0.5, "0.5"), ("0.5".into(), "s".into()));
        assert_eq!(Units::Si.of_word("kN", 2.0, "2"), ("2".into(), "kN".into()));
    }
}
