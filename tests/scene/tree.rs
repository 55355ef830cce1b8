//! The lossless tree: tokens, paths, agreement with ron, text patches.

use super::reads::sound;
use proptest::prelude::*;
use standwell::scene::edit::{Edit, EditError, add_change, edit};
use standwell::scene::model::{Change, ChangeKind, Scene};
use standwell::scene::tree::{Kind, Tree, parse};
use standwell::scene::typed::{diagnose, options};

/// Every way of writing a RON value this program may meet.
const ALL: &str = r##"#![enable(implicit_some)]
// head
/* block /* nested */ */ Name(
    text: "quote \" and \u{e9}\n", raw: r#"a "b" \n"#, c: '\'', b: b"bytes", byte: b'x',
    n: -1_000, h: 0xFF, f: 2.5e-3, inf: -inf, nan: NaN, s: 7u8, range: 1..5,
    yes: true, none: None, some: Some((a: 1)), unit: (), one: (1,), list: [[], [1, 2,],],
    map: {"k": 1, "l.m": [3], 'c': 2, 4: "four"}, unit_variant: Unit, r#tup: Tuple(1, "x"),
    record: Variant(a: (b: [Step((id: "s"))])), // tail
) // end
"##;

#[test]
fn tokens_are_the_whole_text() {
    for text in [ALL.to_owned(), sound()] {
        let tree = parse(&text).unwrap_or_else(|e| panic!("{e} at {:?}", e.at));
        let together: String = tree.tokens.iter().map(|t| &text[t.range.clone()]).collect();
        assert_eq!(together, text);
    }
}

#[test]
fn paths_lead_to_their_values() {
    let tree = parse(ALL).unwrap();
    let slice = |path: &str| {
        let id = tree.find(path).unwrap_or_else(|| panic!("nothing at {path}"));
        &ALL[tree.node(id).unwrap().range.clone()]
    };
    assert_eq!(slice("n"), "-1_000");
    assert_eq!(slice("some.a"), "1");
    assert_eq!(slice("list[1][1]"), "2");
    assert_eq!(slice("map[\"l.m\"][0]"), "3");
    assert_eq!(slice("map[\"k\"]"), "1");
    assert_eq!(slice("tup[1]"), "\"x\"");
    assert_eq!(slice("record.a.b[0].id"), "\"s\"");
    assert_eq!(slice("range"), "1..5");
    assert_eq!(slice("one[0]"), "1");
    assert!(tree.find("list[7]").is_none());
    let near = tree.nearest("list[1][7].x").unwrap();
    assert_eq!(&ALL[tree.node(near).unwrap().range.clone()], "[1, 2,]");
    let text = |path: &str| tree.text(tree.find(path).unwrap()).unwrap().to_owned();
    assert_eq!(text("text"), "quote \" and é\n");
    assert_eq!(text("tup[1]"), "x");
    let raw = tree.field(tree.root().unwrap(), "raw").map(|f| f.value).unwrap();
    assert!(matches!(&tree.node(raw).unwrap().kind, Kind::Text(t) if t == "a \"b\" \\n"));
    assert_eq!(tree.head_comment(ALL), "head\nblock /* nested */");
}

/// The path of each value leads back to it, but for map keys and what variants look through.
#[test]
fn the_path_of_a_value_leads_back() {
    for text in [ALL.to_owned(), sound()] {
        let tree = parse(&text).unwrap();
        for id in 0..tree.nodes().len() {
            let found = tree.find(&tree.path(id)).expect("some value");
            let (found, node) = (tree.node(found).unwrap(), tree.node(id).unwrap());
            let around = found.range.start <= node.range.start && found.range.end >= node.range.end;
            let is_key = matches!(
                node.parent.and_then(|p| tree.node(p)).map(|p| &p.kind),
                Some(Kind::Map(entries)) if entries.iter().any(|&(key, _)| key == id)
            );
            assert!(around || is_key, "{} is {:?}", tree.path(id), &text[node.range.clone()]);
        }
    }
}

#[test]
fn ron_reads_what_the_tree_reads() {
    ron::from_str::<ron::Value>(ALL).unwrap();
}

fn value() -> impl Strategy<Value = ron::Value> {
    let leaf = prop_oneof![
        any::<bool>().prop_map(ron::Value::Bool),
        any::<char>().prop_map(ron::Value::Char),
        any::<i32>().prop_map(|n| ron::Value::Number(n.into())),
        any::<f64>().prop_map(|n| ron::Value::Number(n.into())),
        ".*".prop_map(ron::Value::String),
        Just(ron::Value::Unit),
        Just(ron::Value::Option(None)),
    ];
    leaf.prop_recursive(4, 40, 6, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..6).prop_map(ron::Value::Seq),
            prop::collection::vec((".{0,8}".prop_map(ron::Value::String), inner.clone()), 0..4)
                .prop_map(|entries| ron::Value::Map(entries.into_iter().collect())),
            inner.prop_map(|v| ron::Value::Option(Some(Box::new(v)))),
        ]
    })
}

proptest! {
    /// What ron writes, the tree reads: the same number of items, the same strings.
    #[test]
    fn the_tree_reads_what_ron_writes(value in value(), pretty in any::<bool>()) {
        let text = if pretty {
            ron::ser::to_string_pretty(&value, ron::ser::PrettyConfig::new()).unwrap()
        } else {
            ron::to_string(&value).unwrap()
        };
        let tree = parse(&text).map_err(|e| TestCaseError::fail(format!("{e}: {text}")))?;
        prop_assert!(alike(&tree, tree.root().unwrap(), &value), "{}", text);
    }

    /// The two readers agree on text of any kind: both refuse it, or ron refuses it alone for a
    /// reason of types.
    #[test]
    fn the_tree_refuses_only_what_ron_refuses(text in "[\\[\\](){}a-c:,\"'0-9. \\-rb#/*]{0,24}") {
        if ron::from_str::<ron::Value>(&text).is_ok() {
            prop_assert!(parse(&text).is_ok(), "{}", text);
        }
    }
}

fn alike(tree: &Tree, id: usize, value: &ron::Value) -> bool {
    let kind = &tree.node(id).unwrap().kind;
    match (kind, value) {
        (Kind::Text(text), ron::Value::String(value)) => text == value,
        (Kind::Char(c), ron::Value::Char(value)) => c == value,
        (Kind::Word(word), ron::Value::Bool(value)) => *word == value.to_string(),
        (Kind::Word(word), ron::Value::Option(None)) => word == "None",
        (Kind::Number, ron::Value::Number(_)) => true,
        (Kind::Tuple { name: None, items }, ron::Value::Unit) => items.is_empty(),
        (Kind::Tuple { name: Some(_), items }, ron::Value::Option(Some(value))) => {
            items.len() == 1 && alike(tree, items[0], value)
        }
        (Kind::List(items), ron::Value::Seq(values)) => {
            items.len() == values.len() && items.iter().zip(values).all(|(&i, v)| alike(tree, i, v))
        }
        (Kind::Map(entries), ron::Value::Map(values)) => entries.len() == values.len(),
        _ => false,
    }
}

/// The reader that finds the misfits and ron give the same scene.
#[test]
fn both_typed_readers_give_the_same_scene() {
    let text = sound();
    let by_ron: Scene = options().from_str(&text).unwrap();
    let by_tree = diagnose::<Scene>(&parse(&text).unwrap(), &text);
    assert_eq!(by_tree.misfits, []);
    assert_eq!(by_tree.value.unwrap(), by_ron);
}

fn edited(text: &str, change: &Edit) -> Result<String, EditError> {
    edit(text, &parse(text).unwrap(), change)
}

#[test]
fn patches_touch_nothing_else() {
    let append = |item: &str| Edit::Append { path: "a".into(), item: item.into() };
    let remove = |path: &str| Edit::Remove { path: path.into() };
    let cases = [
        ("(a: [])", append("1"), "(a: [1])"),
        ("(a: [1])", append("2"), "(a: [1, 2])"),
        ("(a: [1,])", append("2"), "(a: [1, 2,])"),
        ("(a: [1 /* one */])", append("2"), "(a: [1, 2 /* one */])"),
        ("(a: [\n  1 // one\n])", append("2"), "(a: [\n  1, // one\n  2,\n])"),
        (
            "(a: [\n  1, // one\n\n  // end\n])",
            append("2"),
            "(a: [\n  1, // one\n  2,\n\n  // end\n])",
        ),
        ("(a: [\n  // none yet\n])", append("2"), "(a: [\n  // none yet\n    2,\n])"),
        ("(a: [1, 2, 3])", remove("a[1]"), "(a: [1, 3])"),
        ("(a: [1, 2, 3])", remove("a[2]"), "(a: [1, 2])"),
        ("(a: [1])", remove("a[0]"), "(a: [])"),
        ("(\n  a: 1, // one\n  b: 2,\n)", remove("b"), "(\n  a: 1, // one\n)"),
        ("(a: {\"k\": 1, \"l\": 2})", remove("a[\"k\"]"), "(a: {\"l\": 2})"),
    ];
    for (before, change, after) in cases {
        assert_eq!(edited(before, &change).as_deref(), Ok(after), "{before:?} {change:?}");
    }
    let with = Edit::Replace { path: "b[0].c".into(), with: "\"x\"".into() };
    assert_eq!(edited("(a: 1, b: [(c: 2)])", &with).unwrap(), "(a: 1, b: [(c: \"x\")])");
    let bad = Edit::Replace { path: "a".into(), with: "1, b: 2".into() };
    assert!(matches!(edited("(a: 1)", &bad), Err(EditError::Unreadable(_))));
    assert!(matches!(edited("(a: 1)", &append("2")), Err(EditError::WrongPlace(_))));
    assert!(matches!(edited("(b: 1)", &append("2")), Err(EditError::NoPlace(_))));
    let there = Edit::AddField { path: String::new(), name: "a".into(), value: "2".into() };
    assert!(matches!(edited("(a: 1)", &there), Err(EditError::FieldThere(_))));
}

#[test]
fn changes_are_added_and_every_other_byte_stays() {
    let take_out = |name: &str| Change {
        name: name.to_owned(),
        change: ChangeKind::TakeOut("main.post.B2".to_owned()),
    };
    let text = sound();
    let once = add_change(&text, &take_out("first")).unwrap();
    let twice = add_change(&once, &take_out("second")).unwrap();
    let scene: Scene = options().from_str(&twice).unwrap();
    assert_eq!(scene.changes, [take_out("first"), take_out("second")]);
    // What is new is one stretch: taking it out again gives the old text, byte for byte.
    for (old, new) in [(&text, &once), (&once, &twice)] {
        let same = old.bytes().zip(new.bytes()).take_while(|(a, b)| a == b).count();
        let more = new.len() - old.len();
        assert_eq!(format!("{}{}", &new[..same], &new[same + more..]), *old);
    }
    let mut scene = scene;
    scene.changes.clear();
    assert_eq!(scene, options().from_str::<Scene>(&text).unwrap());
}
