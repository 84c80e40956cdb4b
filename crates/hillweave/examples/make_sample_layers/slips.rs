//! Shallow slips on the steep faces: a bite with a scarp at its head and a lobe of debris below.

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

use crate::field::{Field, smooth_step};
use crate::ground::for_cells_within;
use crate::noise::Noise;

/// Slips tried for; fewer when the steep ground has no room.
const COUNT: usize = 270;
/// Least distance between two heads, metres.
const APART_M: f64 = 24.0;

/// One slip. Lengths in metres.
pub(crate) struct Slip {
    head: (f64, f64),
    /// Unit vector downhill.
    downhill: (f64, f64),
    length: f64,
    width: f64,
    depth: f64,
    /// Half widths that its path swings aside over the first length.
    bend: f64,
    /// Slip lengths over which its debris still lies bare.
    run: f64,
    ragged: Noise,
    /// Whether the scar is still bare.
    pub(crate) fresh: bool,
}

/// Slips scattered over slopes of about 26 to 42 degrees, in the swarms that storms leave.
pub(crate) fn scatter_slips(elevation: &Field, seed: u64) -> Vec<Slip> {
    let mut random = Pcg64::seed_from_u64(seed ^ 0x51B5);
    let (smoothed, swarm) = (elevation.blurred(8.0), Noise::new(seed, "swarm"));
    let slope = smoothed.slope_deg();
    let mut slips: Vec<Slip> = Vec::new();
    for _ in 0..400_000 {
        let i = random.random_range(0..elevation.values.len());
        let (x, y) = elevation.centre(i);
        let liking = smooth_step(25.0, 31.0, slope.values[i])
            * smooth_step(43.0, 38.0, slope.values[i])
            * smooth_step(-0.15, 0.55, swarm.octaves(x, y, 420.0, 2));
        let crowded = slips.iter().any(|s| (s.head.0 - x).hypot(s.head.1 - y) < APART_M);
        if !crowded && random.random_bool(liking.clamp(0.0, 1.0)) {
            let (east, south) = smoothed.gradient(i);
            let fall = east.hypot(south);
            slips.push(Slip::new((x, y), (-east / fall, -south / fall), &mut random));
        }
        if slips.len() == COUNT {
            break;
        }
    }
    slips
}

impl Slip {
    fn new(head: (f64, f64), downhill: (f64, f64), random: &mut Pcg64) -> Self {
        let size: f64 = random.random_range(0.0_f64..1.0).powi(2);
        let fresh = random.random_bool(0.55);
        Self {
            head,
            downhill,
            length: 14.0 + 34.0 * size + random.random_range(0.0..6.0),
            width: 11.0 + 20.0 * size + random.random_range(0.0..4.0),
            depth: (1.1 + 1.4 * size) * if fresh { 1.0 } else { 0.6 },
            bend: random.random_range(-0.35..0.35),
            run: random.random_range(1.0..2.1),
            ragged: Noise::new(random.random(), "ragged"),
            fresh,
        }
    }

    /// Changes the ground: the bite is taken out, about as much debris is left below.
    pub(crate) fn apply(&self, elevation: &mut Field) {
        let shape = elevation.shape();
        let (x, y) = self.head;
        for_cells_within(&shape, x, y, 3.6 * self.length, |i, _| {
            let (bite, debris) = self.profile(shape.centre(i));
            elevation.values[i] += self.depth * (0.38 * debris - bite);
        });
    }

    /// Marks the bare ground of the slip, 0 to 1: the scar and the upper run of its debris.
    pub(crate) fn mark(&self, bare: &mut Field) {
        let shape = bare.shape();
        let (x, y) = self.head;
        for_cells_within(&shape, x, y, 3.6 * self.length, |i, _| {
            let (along, across) = self.position(shape.centre(i));
            let tail = 0.55 * smooth_step(0.35, 0.6, along) * smooth_step(self.run, 0.9, along);
            let edge = scar_half_width(along).max(tail) - across.abs();
            bare.values[i] = bare.values[i].max(smooth_step(-0.1, 0.1, edge));
        });
    }

    /// Position in slip lengths downhill of the head and half widths across.
    fn position(&self, (x, y): (f64, f64)) -> (f64, f64) {
        let (dx, dy) = (x - self.head.0, y - self.head.1);
        let rag = |shift: f64| 3.2 * self.ragged.octaves(x + shift, y, 17.0, 3);
        let along = dx * self.downhill.0 + dy * self.downhill.1 + rag(0.0);
        let across = dy * self.downhill.0 - dx * self.downhill.1 + rag(300.0);
        let along = along / self.length;
        let swing = self.bend * along.clamp(0.0, 3.0).powi(2);
        (along, across / (self.width / 2.0) - swing)
    }

    /// Share of the depth that is gone, and of the debris that lies, at a position.
    fn profile(&self, at: (f64, f64)) -> (f64, f64) {
        let (along, across) = self.position(at);
        let inside = scar_half_width(along) - across.abs();
        let bite = smooth_step(0.0, 0.45, inside) * smooth_step(1.1, 0.2, along);
        let spread = across / (0.7 + 0.2 * along.max(0.0));
        let lobe = (1.0 - spread * spread).max(0.0);
        let debris = smooth_step(0.75, 1.2, along) * smooth_step(2.7, 2.1, along) * lobe;
        (bite, debris)
    }
}

/// Half width of a scar at a distance below its head, as a share of the greatest.
fn scar_half_width(along: f64) -> f64 {
    let from_widest = if along < 0.35 { (0.35 - along) / 0.35 } else { (along - 0.35) / 0.75 };
    (1.0 - from_widest * from_widest).max(0.0).sqrt()
}
