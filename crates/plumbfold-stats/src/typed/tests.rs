use super::*;
use crate::exchange::Table;

fn known() -> Known {
    Known {
        planes: vec!["Halyard".into(), "Scow".into()],
        copies: vec![("Scow-2".into(), "Scow".into())],
    }
}

fn read(line: &str) -> Result<Line, Mistyped> {
    throw(&[line.to_owned()], &known(), false)
}

#[test]
fn words_come_in_any_order_and_unit() {
    let expected = Throw {
        plane: "Halyard".into(),
        distance_m: Some(12.4),
        time_s: Some(3.1),
        did: Some("stalls".into()),
        ..Throw::default()
    };
    for line in [
        "halyard 12.4m 3.1s stalled",
        "stalled 3,1s HALYARD 12,4 m",
        "3.1 s halyard stalls 1240cm",
        "the halyard stalled after 12.4 metres in 3.1 seconds",
    ] {
        let mut got = read(line).unwrap().throw;
        got.distance_m = got.distance_m.map(|d| (d * 1e9).round() / 1e9);
        assert_eq!(got, expected, "{line}");
    }
    let feet = read("scow-2 40ft from 1.8m top 2 m firm wall").unwrap().throw;
    assert!((feet.distance_m.unwrap() - 12.192).abs() < 1e-12);
    assert_eq!((feet.hand_m, feet.top_m), (Some(1.8), Some(2.0)));
    assert_eq!((feet.plane.as_str(), feet.copy.as_deref()), ("Scow", Some("Scow-2")));
    assert_eq!((feet.style.as_deref(), feet.ended.as_deref()), (Some("firm"), Some("wall")));
}

#[test]
fn nonsense_is_refused_with_a_way_out() {
    for (line, word) in [
        ("halyard NaNm", "NaNm"),
        ("halyard -3m", "-3 m cannot be"),
        ("halyard 1e9m", "1000000000 m cannot be"),
        ("halyard 12.4", "of what"),
        ("halyard 12.4m 13m", "a second distance"),
        ("halyard stalled dived", "twice"),
        ("halyrad 12m", "is it `Halyard`"),
        ("halyard 12m stalld", "is it `stall`"),
        ("12m 3s", "which plane"),
        ("halyard", "needs a distance"),
        ("halyard 12m 5g", "is a mass"),
        ("halyard 12parsec", "12parsec"),
        ("halyard 200m 0.1s", "no hand throws"),
        ("", "which plane"),
        ("halyard 1..2m", "1..2m"),
        ("@@@ 3m", "@@@"),
    ] {
        let e = read(line).unwrap_err();
        assert!(e.message.contains(word), "{line}: {}", e.message);
    }
}

#[test]
fn one_unknown_word_is_a_new_plane_unless_it_looks_like_a_known_one() {
    assert!(read("gannet 9m").unwrap().new_plane);
    assert!(read("scov 9m").is_err());
    assert!(throw(&["scov 9m".into()], &known(), true).unwrap().new_plane);
    let planes = vec!["Old Tern".into()];
    let two = Known { planes, ..Known::default() };
    let tern = throw(&["9m old tern".into()], &two, false).unwrap();
    assert_eq!((tern.throw.plane.as_str(), tern.new_plane), ("Old Tern", false));
    assert!(read("two words 9m").is_err());
}

#[test]
fn a_spreadsheet_is_taken_by_its_columns() {
    let table = Table::read(
        "Flieger;Weite [cm];Zeit;did\nScow;1240;3,1;stalled\n\u{20};;;\nScow;900 cm;;\n",
    );
    let table = table.unwrap();
    let map = |f: &str, c: &str| Mapped { field: f.into(), column: c.into() };
    let mapped = [map("plane", "flieger"), map("distance", "Weite [cm]"), map("time", "Zeit")];
    let throws = throws_of(&table, &mapped, None).unwrap().throws;
    let throws: Vec<Throw> = throws.into_iter().map(|t| t.0).collect();
    assert_eq!(throws.len(), 2);
    assert!((throws[0].distance_m.unwrap() - 12.4).abs() < 1e-12);
    assert_eq!((throws[0].time_s, throws[0].did.as_deref()), (Some(3.1), Some("stalls")));
    let e = throws_of(&table, &[map("distance", "Höhe")], None).unwrap_err();
    assert!(e.message.contains("`Flieger` `Weite"), "{}", e.message);
    assert!(throws_of(&table, &mapped[1..2], None).unwrap_err().message.contains("line 2"));
}

#[test]
fn units_in_the_heads_of_columns_are_understood_and_what_is_left_out_is_told() {
    let text = "plane,distance (ft),time_s,Hand [cm],wind,empty\nScow,40,3.1,180,light,\n";
    let taken = throws_of(&Table::read(text).unwrap(), &[], None).unwrap();
    let throw = &taken.throws[0].0;
    assert!((throw.distance_m.unwrap() - 12.192).abs() < 1e-12);
    assert_eq!((throw.time_s, throw.hand_m), (Some(3.1), Some(1.8)));
    assert_eq!(taken.left_out, ["wind"]);
    let text = "plane,distance,time\nScow,150,0.2\n";
    let e = throws_of(&Table::read(text).unwrap(), &[], None).unwrap_err();
    assert!(e.message.starts_with("line 2: 150 m in 0.2 s cannot be"), "{}", e.message);
}

#[test]
fn a_plane_weighs_something() {
    assert!(mass_g("0 g").is_err() && mass_g("0").is_err() && mass_g("-1").is_err());
    assert_eq!(mass_g("4.9g"), Ok(4.9));
}

#[test]
fn a_new_plane_of_several_words_is_taken_when_it_is_said_to_be_new() {
    let line = |new| throw(&["Sea Gull 9m stalled".to_owned()], &known(), new);
    assert!(line(false).unwrap_err().help.contains("--new"));
    let read = line(true).unwrap();
    assert_eq!(
        (read.throw.plane.as_str(), read.throw.did.as_deref()),
        ("Sea Gull", Some("stalls"))
    );
}

#[test]
fn a_spreadsheet_says_which_rows_are_of_one_session() {
    let text = "plane,Weite [cm],Tag,Wer\nScow,612,30.11.2026,Pim\nScow,598,30.11.2026,Pim\nScow,590,2026-12-01,Ode\nScow,700,,\n";
    let map = |field: &str, column: &str| Mapped { field: field.into(), column: column.into() };
    let mapped = [map("distance", "weite"), map("session", "Tag"), map("thrower", "Wer")];
    let taken = throws_of(&Table::read(text).unwrap(), &mapped, None).unwrap();
    let of: Vec<Option<usize>> = taken.throws.iter().map(|t| t.1).collect();
    assert_eq!(of, [Some(0), Some(0), Some(1), None]);
    assert_eq!(taken.throws[0].0.distance_m, Some(6.12));
    assert_eq!(taken.sessions[1].thrower.as_deref(), Some("Ode"));
    for (words, day) in [
        ("30.11.2026", Some("2026-11-30")),
        ("2026-12-01 hall", Some("2026-12-01")),
        ("11/12/2026", None),
        ("2026-13-01", None),
        ("boat hall", None),
    ] {
        assert_eq!(day_of(words).as_deref(), day, "{words}");
    }
    let open = "plane,distance\nScow,6\nScow,\"4.2\nScow,5\n";
    assert!(Table::read(open).err().unwrap().to_string().contains("never closed"));
    let odd = "plane,distance,did\nScow,6,geglitten\n";
    let e = throws_of(&Table::read(odd).unwrap(), &[], None).unwrap_err();
    assert!(e.help.contains("glides, stalls"), "{e:?}");
}
