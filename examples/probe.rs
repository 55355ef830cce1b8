#![allow(clippy::all)]
fn main() {
    for path in std::env::args().skip(1) {
        let path = std::path::PathBuf::from(path);
        println!("=== {}", path.display());
        let t = std::time::Instant::now();
        let loaded = match standwell::scene::load(&path) {
            Ok(l) => l,
            Err(e) => {
                println!("{e}");
                continue;
            }
        };
        let review = match standwell::review::judge(loaded, &|_, _| true) {
            Ok(r) => r,
            Err(e) => {
                println!("{e}");
                continue;
            }
        };
        println!(
            "{} stages {} members {:?}",
            review.stages.len(),
            review.assembly.members.len(),
            t.elapsed()
        );
        let long = std::env::var("LONG").is_ok();
        for (i, f) in review.findings.iter().enumerate() {
            let n = f.subjects.len();
            println!(
                "{i:3} {}{:?} {} {:?} [{}..{}] {} ->{:?} root {:?}\n      {} ({})",
                if f.unknown { "?" } else { "" },
                f.severity,
                f.code,
                &f.subjects[..n.min(4)],
                f.from_stage,
                f.last_stage,
                f.from_step,
                f.cured_by,
                f.root,
                f.headline,
                f.headline.chars().count()
            );
            if long {
                println!(
                    "      {:?}\n      path {:?}\n      notes {:?}\n      cures {:?}",
                    f.evidence.measures, f.evidence.path, f.evidence.notes, f.cures
                );
            }
        }
        if std::env::var("STAGES").is_ok() {
            for (s, x) in review.sequence.stages.iter().zip(&review.summaries) {
                println!("{:3} {} {:?} {:?} {}", s.index, s.step, x.worst, x.reserve, x.reserve_of);
            }
        }
    }
}
