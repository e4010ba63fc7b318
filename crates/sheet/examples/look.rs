#[path = "../tests/sample.rs"]
mod sample;
use sheet::*;
fn main() {
    let out = "/tmp/sheetlook/";
    for (name, visit) in [("plain", sample::visit()), ("crowded", sample::crowded()), ("refused", sample::refused()), ("hostile", sample::hostile())] {
        std::fs::write(format!("{out}{name}.svg"), svg_map(&visit, MapOptions::default())).unwrap();
        std::fs::write(format!("{out}{name}-grey.svg"), svg_map(&visit, MapOptions{colour:false, ..MapOptions::default()})).unwrap();
        std::fs::write(format!("{out}{name}-hours.svg"), hours_svg(&visit, HoursOptions::default())).unwrap();
        for i in 0..2 {
        let t = std::time::Instant::now();
        let r = work_sheet_pdf(&visit, &WorkSheetOptions::default());
        println!("{name} {i} {:?}", t.elapsed());
        match r { Ok(b) => std::fs::write(format!("{out}{name}.pdf"), b).unwrap(), Err(p) => println!("{p}") }
        }
        let t = std::time::Instant::now();
        svg_map(&visit, MapOptions::default());
        println!("map {:?}", t.elapsed());
    }
}
