//! Every published value of `tests/published` against what the program gives for it.

use ledgebook_tests::published::{By, Row, rows};
use std::collections::{BTreeMap, BTreeSet};

/// The topics of the list of published values with the numbers of their rows: each must stand in the data, computed or with the
/// reason why it is not.
const TOPICS: &[(u32, &[(u32, u32)])] = &[
    (1, &[(1, 12)]),
    (2, &[(1, 4), (6, 6)]),
    (3, &[(1, 1), (3, 3), (5, 11)]),
    (4, &[(1, 22)]),
    (5, &[(2, 3), (5, 20)]),
    (6, &[(1, 16)]),
    (7, &[(1, 25)]),
    (9, &[(1, 8)]),
    (10, &[(1, 1), (3, 8)]),
    (11, &[(1, 1), (3, 7), (9, 12)]),
];

fn failures(rows: impl Iterator<Item = Row>) -> Vec<String> {
    rows.filter_map(|row| row.holds().err()).collect()
}

#[test]
fn the_program_gives_every_published_value() {
    let failed = failures(rows().into_iter());
    assert!(failed.is_empty(), "{} of {}:\n{}", failed.len(), rows().len(), failed.join("\n"));
}

/// A value, a difference or a sentence changed by two and a half tolerances is found, whichever it is.
#[test]
fn a_changed_value_is_found() {
    let computed: Vec<Row> = rows().into_iter().filter(|row| row.by.is_some()).collect();
    let unseen: Vec<String> = computed
        .iter()
        .map(Row::altered)
        .filter(|row| row.holds().is_ok())
        .map(|row| format!("{} {}: {}", row.row, row.what, row.printed))
        .collect();
    assert!(unseen.is_empty(), "{} of {}:\n{}", unseen.len(), computed.len(), unseen.join("\n"));
}

#[test]
fn no_row_of_the_list_is_left_out() {
    let there: BTreeSet<String> = rows().into_iter().map(|row| row.row).collect();
    let missing: Vec<String> = TOPICS
        .iter()
        .flat_map(|(topic, ranges)| {
            ranges.iter().flat_map(move |(low, high)| (*low..=*high).map(move |n| (topic, n)))
        })
        .map(|(topic, n)| format!("{topic}.{n}"))
        .filter(|row| !there.contains(row))
        .collect();
    assert!(missing.is_empty(), "{}", missing.join(", "));
}

#[test]
fn every_row_has_its_source_and_says_one_thing() {
    for row in rows() {
        assert!(!row.source.is_empty() || row.printed.is_empty() || row.not_computed.is_some(), "{row:?}");
        assert!(row.by.is_some() != row.not_computed.is_some(), "{row:?}");
    }
}

/// A knot's range is what its sources say, from the lowest to the highest, and nothing beside them.
#[test]
fn a_knots_range_is_that_of_its_sources() {
    let mut ends: BTreeMap<String, (f64, f64)> = BTreeMap::new();
    for row in rows() {
        let Some(By::Knot { knot, .. }) = &row.by else { continue };
        let (low, high) = ledgebook_tests::published::range(&row.printed).expect("a range");
        let own = ends.entry(knot.clone()).or_insert((low, high));
        *own = (own.0.min(low), own.1.max(high));
    }
    let catalogue: BTreeMap<String, (f64, f64)> =
        rig::catalogue::KNOTS.iter().map(|k| (k.id.to_string(), (k.low, k.high))).collect();
    assert_eq!(ends, catalogue);
}

/// Every class, margin, load and limit of the catalogue rests on a row, or says that it is from memory.
#[test]
fn nothing_in_the_catalogue_is_without_a_row() {
    let all = rows();
    let rated = |list: &str, id: &str| {
        all.iter().any(
            |row| matches!(&row.by, Some(By::Class { class, id: own, .. }) if class == list && own == id),
        )
    };
    let mut without = Vec::new();
    for (list, classes) in &service::catalogue::whole().classes {
        let own = classes.iter().filter(|c| !rated(list, c.id) && c.standing != rig::model::Standing::Memory);
        without.extend(own.map(|c| format!("{list} {}", c.id)));
    }
    for (list, conventions) in &service::catalogue::whole().conventions {
        let has = |c: &rig::catalogue::Convention| {
            all.iter().any(
                |row| matches!(&row.by, Some(By::Convention { convention, of, .. }) if convention == list && c.words.contains(of.as_str())),
            )
        };
        let own = conventions.iter().filter(|c| !has(c) && c.standing != rig::model::Standing::Memory);
        without.extend(own.map(|c| format!("{list}: {}", c.words)));
    }
    assert!(without.is_empty(), "{}", without.join("\n"));
}
