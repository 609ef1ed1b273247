//! `ledgebook sum leg-share | redirect | wrap | advantage | slope | fall | span`.

use super::sum_args::{Sum, SumCommand};
use super::{Done, print};
use service::sums::{self, Answer};

/// Runs one of the sums.
pub fn run(sum: Sum, json: bool) -> Done {
    let g = sums::gravity(sum.gravity.as_deref())?;
    let answer = match sum.command {
        SumCommand::LegShare { load, angle: Some(angle), angle_from, .. } => {
            sums::leg_share(&load, &angle, angle_from.into(), g)?
        }
        SumCommand::LegShare { load, left, right, .. } => {
            sums::leg_pair(&load, &left.unwrap_or_default(), &right.unwrap_or_default(), g)?
        }
        SumCommand::Redirect { tension, angle, angle_from } => {
            sums::redirect(&tension, &angle, angle_from.into(), g)?
        }
        SumCommand::Wrap { load, friction, wrap, raising } => {
            sums::wrap(&load, &friction, &wrap, raising, g)?
        }
        SumCommand::Advantage { system, kind, load, efficiency, redirects } => {
            sums::advantage(&system, kind.into(), &load, &efficiency, &redirects, g)?
        }
        SumCommand::Slope { mass, angle, friction, raising } => {
            sums::slope(&mass, &angle, &friction, raising, g)?
        }
        SumCommand::Fall { mass, drop, rope, modulus } => sums::fall(&mass, &drop, &rope, &modulus, g)?,
        SumCommand::Span { load, span, sag } => sums::span(&load, &span, &sag, g)?,
    };
    if json {
        print::json(&answer)?;
    } else {
        print::out(&words(&answer))?;
    }
    Ok(0)
}

fn words(answer: &Answer) -> String {
    let rows: Vec<Vec<String>> = answer
        .results
        .iter()
        .map(|f| vec![f.name.to_string(), figure(f.value, f.unit), f.unit.to_string()])
        .collect();
    let table = print::table(&["", "", ""], &rows, &[1]);
    let figures: String = table.lines().skip(1).map(|line| format!("{line}\n")).collect();
    let notes: String = answer.notes.iter().map(|note| format!("{note}\n")).collect();
    format!("{figures}{}\n{}\n{notes}{}\n", answer.method, answer.source, service::findings::CAUTION)
}

/// Four figures that count; people are counted.
fn figure(value: f64, unit: &str) -> String {
    if unit == "people" {
        return format!("{value:.0}");
    }
    let magnitude = if value == 0.0 { 0 } else { value.abs().log10().floor() as i32 };
    let digits = usize::try_from(3 - magnitude).unwrap_or(0);
    format!("{value:.digits$}")
}

#[cfg(test)]
mod tests {
    use super::figure;

    #[test]
    fn small_figures_keep_their_digits() {
        let cases = [(1.813_2, "1.813"), (0.000_666_695, "0.0006667"), (0.0, "0.000"), (123_456.0, "123456")];
        for (value, words) in cases {
            assert_eq!(figure(value, "kN"), words);
        }
        assert_eq!(figure(4.0, "people"), "4");
    }
}
