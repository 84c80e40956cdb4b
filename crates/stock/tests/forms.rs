//! A library written in either form reads back as the same library.

#![expect(clippy::expect_used, reason = "a test helper that fails is a failing test")]

use std::collections::BTreeMap;

use proptest::prelude::*;
use stock::nectar::{DhaRatio, Nectar};
use stock::{
    Factor, Flowering, LandformClass, Library, Origin, Place, STARTER, Shape, Status, Stock,
    StockForm, StockKind, Supply, Survival, Taxon, Tolerance, Trapezoid, YearDay,
};

/// Text with everything that a form might trip over, trimmed and never empty.
fn text() -> impl Strategy<Value = String> {
    let odd = prop::sample::select(vec![
        "a", "Z", "9", "+", "@", "ā", "\"", "'", ",", ";", "\\", "#", "=", "[", "{", "(", ")", ".",
        "-", " ", "🌱", "nan", "true", "2027",
    ]);
    prop::collection::vec(odd, 1..9)
        .prop_map(|parts| parts.concat().trim().to_owned())
        .prop_filter("something", |text| !text.is_empty())
}

/// Any number within bounds, short ones and whole ones too.
fn number(least: f64, greatest: f64) -> impl Strategy<Value = f64> {
    prop_oneof![
        least..=greatest,
        (least..=greatest)
            .prop_map(f64::round)
            .prop_filter("within", move |x| (least..=greatest).contains(x)),
        Just(least),
        Just(greatest),
    ]
}

fn status() -> impl Strategy<Value = Status> {
    prop_oneof![
        Just(Status::Available),
        Just(Status::Idea),
        (1950_i32..2000).prop_map(|from| Status::BeingRaised { from }),
    ]
}

fn supply() -> impl Strategy<Value = Supply> {
    let plants = prop_oneof![0_u64..1_000_000, Just(i64::MAX as u64)];
    let seasons = prop::collection::btree_map(2000_i32..2200, plants.clone(), 1..4);
    prop_oneof![
        Just(Supply::Unlimited),
        plants.prop_map(Supply::Total),
        seasons.prop_map(|seasons: BTreeMap<i32, u64>| Supply::Seasons(seasons)),
    ]
}

fn nectar() -> impl Strategy<Value = Nectar> {
    (number(0.0, 1.0), prop::option::of(number(0.0, 1.0)), prop::option::of(1_u32..1000)).prop_map(
        |(mean, ratio_sd, trees)| {
            let ratio_mean = DhaRatio::new(mean).expect("0 to 1");
            Nectar { ratio_mean, ratio_sd, trees }
        },
    )
}

fn flowering() -> impl Strategy<Value = Flowering> {
    let day = || (1_u16..=365).prop_map(|day| YearDay::new(day).expect("1 to 365"));
    (day(), day(), number(-500.0, 9000.0), number(-20.0, 20.0)).prop_map(
        |(begins, ends, elevation_m, shift)| {
            Flowering::new(begins, ends).at(elevation_m).shifting(shift)
        },
    )
}

fn survival() -> impl Strategy<Value = Survival> {
    prop::array::uniform4(prop::option::of(number(0.01, 1.0))).prop_map(|shares| {
        let given = LandformClass::ALL.into_iter().zip(shares);
        given.fold(Survival::default(), |survival, (landform, alive)| match alive {
            Some(alive) => survival.with(landform, alive),
            None => survival,
        })
    })
}

fn shape() -> impl Strategy<Value = Shape> {
    let position = || prop::array::uniform2(prop_oneof![-1e7..1e7, Just(0.0), -1e300..1e300]);
    let ring = prop::collection::vec(position(), 3..7).prop_map(|mut ring| {
        ring.push(ring[0]);
        ring
    });
    prop_oneof![
        position().prop_map(Shape::Point),
        prop::collection::vec(ring, 1..4).prop_map(Shape::Polygon),
    ]
}

fn origin() -> impl Strategy<Value = Origin> {
    let taxon = (text(), text()).prop_map(|(name, basis)| Taxon { name, basis });
    let place = (text(), shape()).prop_map(|(crs, shape)| Place { crs, shape });
    (
        prop::option::of(place),
        prop::option::of(number(-500.0, 9000.0)),
        prop::option::of(1_u32..500),
        prop::option::of(text()),
        prop::option::of(taxon),
    )
        .prop_map(|(place, elevation_m, mothers, seed_zone, taxon)| Origin {
            place,
            elevation_m,
            mothers,
            seed_zone,
            taxon,
        })
        .prop_filter("an origin says something", |origin| *origin != Origin::default())
}

/// A tolerance with sound ranges within what is plausible for each factor.
fn tolerance() -> impl Strategy<Value = Tolerance> {
    let corners = prop::array::uniform4(0.0..=1.0_f64);
    let range = prop::option::of((corners, 0_u8..3));
    let drainage = prop::option::of(prop::array::uniform5(number(0.0, 1.0)));
    (prop::array::uniform9(range), drainage).prop_map(|(ranges, drainage)| {
        let mut tolerance = Tolerance::unlimited();
        for (factor, range) in Factor::NUMERIC.into_iter().zip(ranges) {
            let Some((mut corners, ends)) = range else { continue };
            corners.sort_by(f64::total_cmp);
            let [least, greatest] = factor.plausible();
            let [a, b, c, d] = corners.map(|share| least + share * (greatest - least));
            let (lower, upper) = (Some((a, b)), Some((c, d)));
            let sound = match ends {
                0 => Trapezoid::new(lower, None),
                1 => Trapezoid::new(None, upper),
                _ => Trapezoid::new(lower, upper),
            };
            if let Ok(range) = sound {
                tolerance = tolerance.with(factor, range);
            }
        }
        match drainage {
            Some(memberships) => tolerance.with_drainage(memberships).expect("0 to 1"),
            None => tolerance,
        }
    })
}

fn stock() -> impl Strategy<Value = Stock> {
    let what = (text(), prop::sample::select(StockKind::ALL.to_vec()), status(), supply());
    let order = (
        prop::option::of(1_u32..1_000_000),
        prop::option::of(prop_oneof![number(0.0, 1e9), Just(1e-9), Just(1e300)]),
        prop::option::of(0_u32..=120),
        prop::option::of(number(0.1, 60.0)),
    );
    let ground = (
        prop::option::of(nectar()),
        prop::option::of(flowering()),
        survival(),
        prop::option::of(origin()),
        tolerance(),
    );
    (what, order, ground).prop_map(|(what, order, ground)| {
        let (name, kind, status, supply) = what;
        let (min_lot, price_nzd, lead_months, mature_height_m) = order;
        let (nectar, flowering, survival, origin, tolerance) = ground;
        let named = Stock::named("set below", &name, kind);
        Stock {
            status,
            supply,
            min_lot,
            price_nzd,
            lead_months,
            mature_height_m,
            nectar,
            flowering,
            survival,
            origin,
            tolerance,
            ..named
        }
    })
}

fn stocks() -> impl Strategy<Value = Vec<Stock>> {
    prop::collection::vec(stock(), 1..6).prop_map(|mut stocks| {
        for (at, stock) in stocks.iter_mut().enumerate() {
            stock.id = format!("s{at}");
        }
        stocks
    })
}

proptest! {
    #[test]
    fn either_form_reads_back_as_what_was_written(stocks in stocks()) {
        // `new` goes through TOML, so the comparison is with what went in.
        let library = Library::new(stocks.clone()).expect("sound by construction");
        prop_assert_eq!(library.stocks(), stocks.as_slice());
        for form in StockForm::ALL {
            let text = library.write(form);
            let back = Library::read(form, &text);
            prop_assert_eq!(back.as_ref(), Ok(&library), "{}", text);
        }
    }

    #[test]
    fn what_is_written_is_written_the_same_again(stocks in stocks()) {
        let library = Library::new(stocks).expect("sound by construction");
        for form in StockForm::ALL {
            let text = library.write(form);
            let back = Library::read(form, &text).expect("read back");
            prop_assert_eq!(back.write(form), text);
        }
    }

    #[test]
    fn no_text_makes_either_reader_panic(text in "\\PC{0,80}", rows in "[a-z_0-9,;\"\n.=\\[\\]{}-]{0,120}") {
        for text in [&text, &rows] {
            for form in StockForm::ALL {
                if let Err(faults) = Library::read(form, text) {
                    prop_assert!(!faults.is_empty());
                }
            }
        }
    }

    /// Cells of a sound table put wrong one at a time: a fault at that row, or a sound library.
    #[test]
    fn a_wrong_cell_is_told_where_it_stands(at in 0_usize..400, junk in text()) {
        let library = Library::parse(STARTER).expect("sound");
        let text = library.write(StockForm::Csv);
        let mut rows: Vec<Vec<String>> = csv::ReaderBuilder::new()
            .has_headers(false)
            .from_reader(text.as_bytes())
            .records()
            .map(|record| record.expect("sound").iter().map(str::to_owned).collect())
            .collect();
        let width = rows[0].len();
        let (row, column) = (1 + at / width % (rows.len() - 1), at % width);
        rows[row][column] = junk;
        let mut writer = csv::Writer::from_writer(Vec::new());
        for row in &rows {
            writer.write_record(row).expect("in memory");
        }
        let text = String::from_utf8(writer.into_inner().expect("in memory")).expect("text");
        for fault in Library::parse_csv(&text).err().into_iter().flatten() {
            prop_assert_eq!(fault.line, row + 1, "{}", fault);
        }
    }
}
