use super::*;
use crate::stats::stream::Stream;

const SHARES: [f64; 3] = [0.5, 0.9, 0.99];

/// So near a fresh cloud's share has to be, which is some 6 standard errors of 40,000 trials at 90 %.
const WITHIN: f64 = 0.01;

fn normal(seed: u64, count: usize, middle: Point, sd: Point) -> Vec<Point> {
    let mut stream = Stream::new(seed, 0);
    (0..count).map(|_| [middle[0] + sd[0] * stream.normal(), middle[1] + sd[1] * stream.normal()]).collect()
}

/// Places bent about the pad: the wind's direction scatters widely, its speed little.
fn banana(seed: u64, count: usize) -> Vec<Point> {
    let mut stream = Stream::new(seed, 1);
    (0..count)
        .map(|_| {
            let (turn, far) = (0.7 * stream.normal(), 800.0 + 40.0 * stream.normal());
            [far * turn.cos(), far * turn.sin()]
        })
        .collect()
}

fn one(points: &[Point]) -> Vec<Cloud<'_>> {
    vec![Cloud::try_new(1.0, points).unwrap()]
}

/// Share of clouds whose weights sum to 1 that a region holds.
fn held(region: &Region, clouds: &[Cloud<'_>]) -> f64 {
    let share = |cloud: &Cloud<'_>| {
        let hits = cloud.points().iter().filter(|point| region.holds(**point)).count();
        cloud.weight() * hits as f64 / cloud.points().len() as f64
    };
    clouds.iter().map(share).sum()
}

/// Regions from one seed, held against clouds of another.
fn fresh_share(of: &[Cloud<'_>], fresh: &[Cloud<'_>]) -> Vec<(f64, f64)> {
    regions(of, &SHARES).iter().map(|region| (region.share, held(region, fresh))).collect()
}

fn assert_near(what: &str, shares: &[(f64, f64)]) {
    for (want, got) in shares {
        assert!((got - want).abs() <= WITHIN, "{what}: {shares:?}");
    }
}

#[test]
fn a_fresh_seed_puts_the_stated_share_inside_a_normal_cloud() {
    for (middle, sd) in [([0.0, 0.0], [60.0, 60.0]), ([1_500.0, -700.0], [200.0, 15.0])] {
        let (a, b) = (normal(1, 40_000, middle, sd), normal(2, 40_000, middle, sd));
        assert_near("normal", &fresh_share(&one(&a), &one(&b)));
    }
}

#[test]
fn a_normal_cloud_gives_one_ring_of_the_ellipses_area() {
    let points = normal(3, 40_000, [100.0, 50.0], [80.0, 40.0]);
    for region in regions(&one(&points), &SHARES) {
        // Inside radius r of a standard normal lie 1 - exp(-r²/2); the kernel widens the cloud, but not the level's share.
        let want = std::f64::consts::TAU * 80.0 * 40.0 * -(1.0 - region.share).ln();
        assert!(
            (region.area_m2() / want - 1.0).abs() < 0.03,
            "{}: {} {want}",
            region.share,
            region.area_m2()
        );
        if region.share < 0.95 {
            assert_eq!(region.polygons.len(), 1, "{}", region.share);
        }
    }
}

#[test]
fn a_fresh_seed_puts_the_stated_share_inside_a_bent_cloud_and_the_pads_side_stays_free() {
    let (a, b) = (banana(1, 40_000), banana(2, 40_000));
    assert_near("banana", &fresh_share(&one(&a), &one(&b)));
    let found = regions(&one(&a), &SHARES);
    // The bend is not filled in: the region holds little more than the exact one's area.
    let exact = 2.0 * 800.0 * 0.7 * 40.0 * std::f64::consts::PI * -(0.1_f64).ln();
    assert!(found[1].area_m2() < 1.1 * exact, "{} {exact}", found[1].area_m2());
    assert!(!found[2].holds([600.0, 0.0]) && found[1].holds([800.0, 0.0]));
}

#[test]
fn a_rare_case_far_away_neither_blurs_the_main_one_nor_vanishes() {
    let (main, rare) = ([0.0, 0.0], [2_000.0, 0.0]);
    let mix = |seed: u64| {
        (normal(seed, 38_800, main, [60.0, 40.0]), normal(seed + 100, 1_200, rare, [150.0, 150.0]))
    };
    let ((a, a_rare), (b, b_rare)) = (mix(5), mix(6));
    let clouds = |main, rare| vec![Cloud::try_new(0.97, main).unwrap(), Cloud::try_new(0.03, rare).unwrap()];
    assert_near("mix", &fresh_share(&clouds(&a, &a_rare), &clouds(&b, &b_rare)));
    let found = regions(&clouds(&a, &a_rare), &SHARES);
    // The main case's half: as if the rare one were not there, but for its share of the mix.
    let alone = regions(&one(&a), &[0.5 / 0.97]);
    assert!((found[0].area_m2() / alone[0].area_m2() - 1.0).abs() < 0.02);
    assert!(found[0].holds(main) && !found[1].holds(rare) && found[2].holds(main) && found[2].holds(rare));
    let held = b_rare.iter().filter(|point| found[2].holds(**point)).count() as f64 / 1_200.0;
    // 99 % of all is at least two thirds of the 3 %.
    assert!(held > 0.66, "{held}");
}

#[test]
fn a_rare_case_that_nobody_parted_from_the_main_one_still_does_not_blur_it() {
    let mut both = normal(7, 38_800, [0.0, 0.0], [60.0, 40.0]);
    both.extend(normal(8, 1_200, [2_000.0, 0.0], [150.0, 150.0]));
    let (main, rare) = both.split_at(38_800);
    let apart = regions(&[Cloud::try_new(0.97, main).unwrap(), Cloud::try_new(0.03, rare).unwrap()], &SHARES);
    let together = regions(&one(&both), &SHARES);
    // One width for both is too narrow for the rare one, whose part of the 99 % is ragged and larger for it.
    for ((apart, together), most) in apart.iter().zip(&together).zip([0.03, 0.03, 0.5]) {
        let more = together.area_m2() / apart.area_m2() - 1.0;
        assert!(more.abs() < most, "{}: {more}", apart.share);
        assert_eq!(apart.holds([2_000.0, 0.0]), together.holds([2_000.0, 0.0]));
    }
}

#[test]
fn two_clusters_400_m_apart_are_two_rings() {
    let mut points = normal(9, 20_000, [-200.0, 300.0], [50.0, 50.0]);
    points.extend(normal(10, 20_000, [200.0, 300.0], [50.0, 50.0]));
    let (west, east) = points.split_at(20_000);
    let apart = [Cloud::try_new(0.5, west).unwrap(), Cloud::try_new(0.5, east).unwrap()];
    for clouds in [one(&points), apart.to_vec()] {
        for region in regions(&clouds, &[0.5, 0.9]) {
            assert_eq!(region.polygons.len(), 2, "{}", region.share);
            assert!(
                region.holds([-200.0, 300.0]) && region.holds([200.0, 300.0]) && !region.holds([0.0, 300.0])
            );
        }
    }
}

#[test]
fn a_cloud_around_a_middle_that_is_never_met_gives_a_hole() {
    let mut stream = Stream::new(12, 0);
    let ring: Vec<Point> = (0..20_000)
        .map(|_| {
            let (turn, far) =
                (stream.rectangular(0.0, std::f64::consts::TAU), 500.0 + 20.0 * stream.normal());
            [far * turn.cos(), far * turn.sin()]
        })
        .collect();
    let found = regions(&one(&ring), &[0.9]);
    assert_eq!(found[0].polygons.len(), 1);
    assert_eq!(found[0].polygons[0].holes().len(), 1);
    assert!(!found[0].holds([0.0, 0.0]) && found[0].holds([500.0, 0.0]));
}

#[test]
fn narrow_clouds_beside_wide_ones_do_not_fall_between_nodes() {
    // The grid's spacing is some 12 m here.
    let wide = normal(13, 10_000, [3_000.0, 0.0], [800.0, 800.0]);
    for sd in [0.0, 0.5, 2.0, 6.0] {
        let (still, fresh) =
            (normal(16, 1_000, [4.0, 3.0], [sd, sd]), normal(17, 4_000, [4.0, 3.0], [sd, sd]));
        let clouds = [Cloud::try_new(0.5, &wide).unwrap(), Cloud::try_new(0.5, &still).unwrap()];
        let found = regions(&clouds, &[0.4, 0.9]);
        assert_eq!(found[0].polygons.len(), 1, "{sd}");
        assert!(found[0].area_m2() < 3e3, "{sd}: {}", found[0].area_m2());
        // Four fifths of the narrow cloud are the 40 %; widened, it holds rather more.
        let held = held(&found[0], &one(&fresh));
        assert!(held > 0.77, "{sd}: {held}");
        assert!(found[1].holds([4.0, 3.0]));
    }
}

#[test]
fn one_landing_is_a_small_ring_around_it_and_none_is_no_region() {
    let lone = [[123.0, -45.0]];
    for region in regions(&one(&lone), &SHARES) {
        assert!(region.holds(lone[0]) && region.area_m2() < 1.0, "{region:?}");
    }
    let nothing = Cloud::try_new(0.0, &[]).unwrap();
    assert!(regions(&[nothing], &SHARES).iter().all(|region| region.polygons.is_empty()));
}

#[test]
fn moving_and_turning_the_cloud_moves_and_turns_the_region() {
    let points = normal(14, 5_000, [0.0, 0.0], [90.0, 20.0]);
    let area = |points: &[Point]| regions(&one(points), &[0.9])[0].area_m2();
    let moved: Vec<Point> = points.iter().map(|[x, y]| [x + 5e4, y - 2e4]).collect();
    let turned: Vec<Point> = points.iter().map(|[x, y]| [0.6 * x - 0.8 * y, 0.8 * x + 0.6 * y]).collect();
    let plain = area(&points);
    assert!((area(&moved) / plain - 1.0).abs() < 1e-6);
    assert!((area(&turned) / plain - 1.0).abs() < 2e-3);
}

#[test]
fn regions_nest_and_their_rings_are_sound_polygons() {
    let points = banana(15, 3_000);
    let found = regions(&one(&points), &SHARES);
    assert!(found.windows(2).all(|pair| pair[0].area_m2() < pair[1].area_m2()));
    for (inner, outer) in [(&found[0], &found[1]), (&found[1], &found[2])] {
        for corner in inner.polygons.iter().flat_map(|polygon| polygon.outer()) {
            assert!(outer.holds(*corner));
        }
    }
    for polygon in found.iter().flat_map(|region| &region.polygons) {
        let holes: Vec<Vec<Point>> = polygon.holes().map(<[Point]>::to_vec).collect();
        assert_eq!(&Polygon::try_new(polygon.outer(), &holes).unwrap(), polygon);
    }
}

#[test]
fn what_is_no_cloud_is_refused() {
    let error = |weight: f64, points: &[Point]| Cloud::try_new(weight, points).unwrap_err().to_string();
    assert_eq!(error(-0.1, &[[0.0, 0.0]]), "the weight of a cloud is -0.1, expected 0 or more");
    assert_eq!(error(0.3, &[]), "a cloud of weight 0.3 has no landing");
    assert_eq!(error(0.3, &[[0.0, 0.0], [0.0, f64::INFINITY]]), "landing 2 of a cloud is not finite");
}
