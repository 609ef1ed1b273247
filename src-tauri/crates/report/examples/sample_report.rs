//! Writes the report of an invented operation, for looking at and for timing:
//! `sample_report OUT.pdf [letter] [stress | calls N]`.

#[path = "../tests/invented/mod.rs"]
mod invented;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let out = args.first().ok_or("usage: sample_report OUT.pdf [letter] [stress | calls N]")?;
    let calls = args.iter().position(|arg| arg == "calls").and_then(|at| args.get(at + 1));
    let mut input = match calls {
        Some(n) => invented::calls(n.parse()?),
        None if args.iter().any(|arg| arg == "stress") => invented::stress(),
        None => invented::operation(),
    };
    if args.iter().any(|arg| arg == "letter") {
        input.paper = report::input::Paper::Letter;
    }
    let begun = std::time::Instant::now();
    let bytes = report::write(&input)?;
    println!("{out}: {} bytes, {} entries, {:?}", bytes.len(), input.log.len(), begun.elapsed());
    std::fs::write(out, bytes)?;
    Ok(())
}
