//! Measures what the project promises about speed and memory and prints one table. Run by
//! `bench/run`, which also runs the plain references in Python where they can be run.

mod folding;
mod layers;
mod memory;
mod remedies;
mod stages;
mod table;
mod text_to_balance;
mod throws;

use std::path::PathBuf;

use table::Row;

/// The one the program has.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() {
    let mut args = std::env::args().skip(1);
    if let Some(design) = args.next().filter(|a| a == memory::CHILD).and_then(|_| args.next()) {
        memory::child(&design);
        return;
    }
    if std::env::args().nth(1).as_deref() == Some("--profile") {
        // For `perf record`: the same work again and again.
        let text = std::fs::read_to_string(std::env::args().nth(2).expect("a design"));
        let text = text.expect("a readable design");
        (0..3000).for_each(|_| drop(std::hint::black_box(text_to_balance::balance(&text))));
        return;
    }
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    let mut rows: Vec<Row> = Vec::new();
    rows.extend(text_to_balance::rows(&root));
    rows.extend(throws::rows(&root));
    rows.extend(remedies::rows(&root));
    rows.extend(folding::rows());
    rows.extend(layers::rows());
    rows.extend(memory::rows(&root));
    table::print(&rows);
    if rows.iter().any(|r| !r.holds()) {
        std::process::exit(3);
    }
}
