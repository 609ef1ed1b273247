//! `ledgebook doctor [FILE]`.

use super::{Done, print};
use crate::outside::{home_folder, outside};
use service::doctor::{self, Standing};
use std::path::Path;

/// Looks, and says what was found.
pub fn run(file: Option<&Path>, json: bool) -> Done {
    // Beside the file that is asked about, or where the window keeps them.
    let beside =
        file.and_then(|file| file.canonicalize().ok()).and_then(|file| file.parent().map(Path::to_path_buf));
    let folder = beside.unwrap_or_else(|| home_folder(|name| std::env::var_os(name)));
    let found = doctor::examine(&folder, file, None, &outside()?);
    if json {
        print::json(&doctor::view(&found))?;
        return Ok(doctor::exit_code(&found));
    }
    let rows: Vec<Vec<String>> = found
        .iter()
        .map(|f| {
            let remedy = if f.remedy.is_empty() { String::new() } else { format!(" – {}", f.remedy) };
            vec![f.id.into(), word(f.standing).into(), print::plain(&format!("{}{remedy}", f.words))]
        })
        .collect();
    print::out(print::table(&["", "", ""], &rows, &[]).trim_start())?;
    Ok(doctor::exit_code(&found))
}

fn word(standing: Standing) -> &'static str {
    match standing {
        Standing::InOrder => "in order",
        Standing::Look => "look",
        Standing::NotChecked => "not checked",
        Standing::Trouble(_) => "TROUBLE",
    }
}
