use super::*;
use crate::units::{Angle, LineCount};

fn screen(lines: f64, degrees: f64, dot: &Dot) -> Screen {
    Screen::cells(
        per_inch(),
        LineCount::per_inch(lines).unwrap(),
        Angle::degrees(degrees).unwrap(),
        dot.clone(),
    )
    .build()
    .unwrap()
}

fn per_inch() -> Resolution {
    Resolution::per_inch(720.0).unwrap()
}

fn mesh(threads: f64) -> Mesh {
    Mesh::per_inch(threads, Length::um(40.0).unwrap(), Angle::default()).unwrap()
}

fn film(name: &str, screen: &Screen, dot: &Dot) -> Planned {
    Planned::new(name, screen, Some(dot), per_inch()).unwrap()
}

fn of(findings: &[Finding], about: About) -> Vec<&Finding> {
    findings.iter().filter(|f| f.about == about).collect()
}

#[test]
fn a_job_is_told_what_is_wrong_with_it() {
    let dot = Dot::Euclidean;
    let (bad, good) = (screen(55.0, 15.0, &dot), screen(55.0, 22.5, &dot));
    let inverted = good.again(Mode::Inverted, None).unwrap();
    let films = [film("rose", &good, &dot), film("teal", &bad, &dot), film("black", &inverted, &dot)];
    let findings = check(&films, &mesh(230.0)).unwrap();
    assert!(findings.is_sorted_by_key(|f| std::cmp::Reverse(f.weight)));
    // 230 threads and 55 lines at 15°: 5.06 mm, computed independently.
    let moire = of(&findings, About::MeshMoire);
    let teal = moire.iter().find(|f| f.films == ["teal"]).unwrap();
    assert!(
        teal.weight > Weight::Note && teal.text.contains("5.0") && teal.text.contains("turn by"),
        "{teal}"
    );
    // Screens 7.5° apart beat at 7.645 periods of 0.4618 mm; both of the lattice are named.
    let pair = of(&findings, About::ScreenMoire);
    assert_eq!((pair.len(), pair[0].weight), (1, Weight::Wrong));
    assert_eq!(pair[0].films, ["rose", "black", "teal"]);
    assert!((pair[0].number - 7.645 * 25.4 / 55.0).abs() < 0.02, "{}", pair[0]);
    assert_eq!(of(&findings, About::Register).len(), 6);
    assert_eq!(of(&findings, About::MeshedDot)[0].weight, Weight::Note);
    let ratio = of(&findings, About::ThreadsPerLine);
    assert!(ratio.len() == 3 && ratio.iter().all(|f| (f.number - 230.0 / 55.0).abs() < 0.01));
    assert!(
        ratio.iter().all(|f| f.source == Source::CommonPractice && f.to_string().contains("common practice"))
    );
}

#[test]
fn remedies_that_are_told_remedy() {
    let dot = Dot::Euclidean;
    let findings = check(&[film("teal", &screen(55.0, 15.0, &dot), &dot)], &mesh(230.0)).unwrap();
    let text = &of(&findings, About::MeshMoire)[0].text;
    let turn: f64 = text.split("turn by ").nth(1).unwrap().split('°').next().unwrap().parse().unwrap();
    let turned = film("teal", &screen(55.0, 15.0 + turn, &dot), &dot);
    let after = check(&[turned], &mesh(230.0)).unwrap();
    assert_eq!(of(&after, About::MeshMoire)[0].weight, Weight::Note, "{}", of(&after, About::MeshMoire)[0]);
}

#[test]
fn three_screens_are_told_to_close() {
    let dot = Dot::Round;
    let three = [15.0, 45.0, 75.0].map(|degrees| film("", &screen(55.0, degrees, &dot), &dot));
    let findings = check(&three, &mesh(305.0)).unwrap();
    let closed = of(&findings, About::Closure);
    // Built lattices are within 0.01° and 0.02 %, so what is left beats at no less than half a metre, and is told.
    assert!(closed.len() == 1 && closed[0].number > 500.0, "{}", closed[0]);
}

#[test]
fn small_meshes_round_dots_and_index_dots_are_told() {
    let dot = Dot::Round;
    let normal = screen(65.0, 22.5, &dot);
    let inverted = normal.again(Mode::Inverted, None).unwrap();
    let index = Screen::index(per_inch(), 3).build().unwrap();
    let films = [
        film("a", &normal, &dot),
        film("b", &inverted, &dot).on(&mesh(305.0)),
        Planned::new("dots", &index, None, per_inch()).unwrap(),
    ];
    let findings = check(&films, &mesh(150.0)).unwrap();
    let ratio = of(&findings, About::ThreadsPerLine);
    assert_eq!((ratio[0].films[0].as_str(), ratio[0].weight), ("a", Weight::Wrong));
    assert!(ratio[1].weight == Weight::Note);
    assert_eq!(of(&findings, About::MeshedDot)[0].weight, Weight::Care);
    let dots = of(&findings, About::IndexDot)[0];
    assert!((dots.number - 3.0 * 25_400.0 / 720.0).abs() < 1e-9 && dots.weight == Weight::Wrong, "{dots}");
}

#[test]
fn plans_that_cannot_be_are_refused() {
    let dot = Dot::Round;
    let one = screen(55.0, 45.0, &dot);
    assert!(check(&[], &mesh(230.0)).is_err());
    assert!(check(&vec![film("a", &one, &dot); 33], &mesh(230.0)).is_err());
    assert!(Planned::new("a", &one, Some(&dot), Resolution::per_inch(600.0).unwrap()).is_err());
}
