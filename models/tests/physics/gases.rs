//! Networks of air: balances of mass, pressure and heat in lanes side by side and where warm air goes
//! round, and derivatives against central differences.

use std::sync::Arc;

use coolwright_models::air::{
    self, AirFall, AirPath, Around, Backflow, Core, CoreRating, CoreSide, Element, Facing, Fan,
    GasNetwork, Lane, Met, Plenum, RatedPoint, WayPlan,
};
use coolwright_models::fluids::Air;
use coolwright_models::laws::curve::Curve;
use coolwright_models::slots::{Slot, Values};
use coolwright_solver::scalar::Dual;

const AIR_K: f64 = 303.15;
const CELLS: f64 = 8.0;
const COOLANT: [f64; 3] = [0.9e-3, 0.45, 3700.0];

/// Three cores, two fans, losses: what the plans below put together.
struct Stand {
    values: Values,
    cores: Vec<Core>,
    sides: Vec<CoreSide>,
    fans: Vec<Fan>,
    loss: AirFall,
    ram: [Slot; 2],
    round: Slot,
    air: Air,
}

fn core(values: &mut Values, heat: f64) -> Core {
    let mut slot = |value| values.add(value);
    let point = RatedPoint {
        heat: slot(heat),
        coolant_flow: slot(1.5),
        air_flow: slot(1.6),
        inlet_difference: slot(50.0),
        coolant_heat_capacity: slot(COOLANT[2]),
        coolant_viscosity: slot(COOLANT[0]),
        coolant_conductivity: slot(COOLANT[1]),
    };
    Core {
        name: "core".to_owned(),
        rating: CoreRating::Point(point),
        coolant_share: slot(0.2),
        wall_share: slot(0.02),
        air_exponent: slot(0.51),
        air_fall: AirFall {
            fall: slot(150.0),
            flow: slot(1.6),
            density: slot(1.2),
            exponent: slot(1.6),
        },
        fall_table: None,
        fall_of_fins: None,
        metal: slot(4.5e3),
        blocked: slot(0.1),
        piece: None,
        face: None,
    }
}

fn fan(values: &mut Values, speed: f64, power_w: f64) -> Fan {
    let mut slot = |value| values.add(value);
    Fan {
        name: "fan".to_owned(),
        curve: Arc::new(Curve::of_polynomial(&[400.0, 0.0, -180.0], 1.49).expect("a curve")),
        curve_density: slot(1.2),
        commanded: slot(speed),
        stopped_fall: slot(300.0),
        stopped_flow: slot(1.49),
        backwards: slot(1.0),
        rated_voltage: None,
        power: slot(power_w),
        voltage: slot(13.5),
    }
}

impl Stand {
    /// With fans whose power is left out, so that sums by hand hold.
    fn new(speeds: [f64; 2]) -> Self {
        Self::of(speeds, 0.0)
    }

    /// With fans that warm their air.
    fn warming(speeds: [f64; 2]) -> Self {
        Self::of(speeds, 400.0)
    }

    fn of(speeds: [f64; 2], power_w: f64) -> Self {
        let mut values = Values::default();
        let cores: Vec<_> =
            [40e3, 55e3, 30e3].iter().map(|heat| core(&mut values, *heat)).collect();
        let fans = speeds.map(|speed| fan(&mut values, speed, power_w)).to_vec();
        let [fall, flow, density, exponent] = [40.0, 2.0, 1.15, 1.9].map(|value| values.add(value));
        let loss = AirFall { fall, flow, density, exponent };
        let ram = [values.add(0.5), values.add(12.0)];
        let round = values.add(0.25);
        let side = |core| CoreSide::of(&values, core).expect("a core");
        let sides = cores.iter().map(side).collect();
        Self { values, cores, sides, fans, loss, ram, round, air: Air::dry(98e3) }
    }

    fn ram(&self) -> Element {
        Element::Ram { share: self.ram[0], speed: self.ram[1] }
    }

    fn stack(&self) -> AirPath {
        let [share, speed] = self.ram;
        let fans = self.fans.clone();
        AirPath::stack("stack".into(), vec![0, 1, 2], fans, self.loss, (share, speed))
    }

    /// The same by its ways: core 0 with a duct beside cores 1 and 2.
    fn ways(&self, stands: [air::Stand; 2], round: Option<Slot>) -> AirPath {
        let [share, speed] = self.ram;
        let plan = |name: &str, cores: &[usize], loss| WayPlan {
            name: Some(name.to_owned()),
            cores: cores.to_vec(),
            loss,
            gap: None,
        };
        let plans = vec![plan("a", &[0], Some(self.loss)), plan("b", &[1, 2], None)];
        let fans = self.fans.iter().cloned().zip(stands).collect();
        AirPath::of_ways("ways".into(), plans, fans, (self.loss, (share, speed)), round)
    }

    /// One fan behind all, one that pushes into the second way; part of what leaves comes round again.
    fn pushed(&self) -> AirPath {
        let stand = |way, pushes| air::Stand { way, pushes };
        self.ways([stand(None, false), stand(Some(1), true)], Some(self.round))
    }

    /// Grille, then core 0 beside cores 1 and 2, then both fans.
    fn side_by_side(&self) -> AirPath {
        let elements = vec![
            (0, 1, vec![Element::Loss(0), self.ram()]),
            (1, 2, vec![Element::Core(0), Element::Loss(0)]),
            (1, 2, vec![Element::Core(1), Element::Core(2)]),
            (2, 3, vec![Element::Fan(0)]),
            (2, 3, vec![Element::Fan(1)]),
        ];
        let closed = [Plenum::Open, Plenum::Closed, Plenum::Closed, Plenum::Open];
        self.path(closed.to_vec(), elements)
    }

    /// Grille, two lanes of cores, a fan into a duct, standing still; part of what leaves comes back before the cores.
    fn going_round(&self) -> AirPath {
        let elements = vec![
            (0, 1, vec![Element::Loss(0)]),
            (1, 2, vec![Element::Core(0), Element::Core(1)]),
            (1, 2, vec![Element::Core(2), Element::Loss(0)]),
            (2, 3, vec![Element::Fan(0)]),
            (3, 4, vec![Element::Loss(0)]),
            (3, 1, vec![Element::Loss(0), Element::Loss(0)]),
        ];
        let mut plenums = vec![Plenum::Closed; 5];
        plenums[0] = Plenum::Open;
        plenums[4] = Plenum::Open;
        let mut path = self.path(plenums, elements);
        path.fans.truncate(1);
        path
    }

    fn path(&self, plenums: Vec<Plenum>, lanes: Vec<(usize, usize, Vec<Element>)>) -> AirPath {
        let lane = |(from, to, elements)| Lane { from, to, elements, backflow: Backflow::Mixes };
        AirPath {
            name: "test".to_owned(),
            front: 0,
            exit: plenums.len() - 1,
            plenums,
            lanes: lanes.into_iter().map(lane).collect(),
            cores: vec![0, 1, 2],
            fans: self.fans.clone(),
            losses: vec![self.loss],
            ways: Vec::new(),
            stands: Vec::new(),
            round: None,
        }
    }

    fn around<'a>(&'a self, path: &'a AirPath) -> Around<'a> {
        Around {
            small: 0.0,
            off_pa: &[0.0; 6],
            values: &self.values,
            path,
            cores: &self.cores,
            air: &self.air,
            air_k: AIR_K,
            heat_capacity: self.air.heat_capacity(AIR_K),
            cells: CELLS,
        }
    }

    /// Walls and coolants, moved by `by` along a direction in which all of them change.
    fn face(&self, core: usize, by: f64) -> Facing {
        let k = core as f64;
        Facing {
            conductance: 1.0,
            core,
            side: self.sides[core],
            flow: 1.2 + 0.3 * k + by * (0.02 - 0.005 * k),
            coolant: [COOLANT[0] - by * 2e-5, COOLANT[1] + by * 1e-3, COOLANT[2] + by * (4.0 - k)],
            wall_viscosity: COOLANT[0],
            wall_k: 330.0 + 9.0 * k + by * (1.0 - 0.7 * k),
        }
    }

    fn dual(&self, core: usize) -> Facing<Dual<1>> {
        let (at, next) = (self.face(core, 0.0), self.face(core, 1.0));
        let dual = |value: f64, next: f64| Dual { value, slopes: [next - value] };
        Facing {
            conductance: 1.0,
            core,
            side: at.side,
            flow: dual(at.flow, next.flow),
            coolant: std::array::from_fn(|i| dual(at.coolant[i], next.coolant[i])),
            wall_viscosity: Dual::from(at.wall_viscosity),
            wall_k: dual(at.wall_k, next.wall_k),
        }
    }

    fn settled(&self, path: &AirPath, by: f64) -> GasNetwork {
        let mut gas = GasNetwork::new(path);
        let faces = (0..3).map(|core| self.face(core, by));
        gas.settle(&self.around(path), faces).expect("the air comes to rest");
        gas
    }
}

/// Heat from each core, W.
fn heats(stand: &Stand, gas: &GasNetwork) -> Vec<f64> {
    let heat = |met: &Met| {
        CELLS * met.exchange.wall_air * (stand.face(met.core, 0.0).wall_k - met.entering_k)
    };
    gas.cores().iter().map(heat).collect()
}

fn near(what: &str, got: f64, want: f64, relative: f64) {
    assert!((got - want).abs() <= relative * want.abs(), "{what}: {got}, want {want}");
}

#[test]
fn what_cores_meet_follows_walls_and_coolant() {
    // All fans on; one of two stopped, so that air comes back through it.
    for speeds in [[1.0, 0.9], [1.0, 0.0]] {
        let stand = Stand::warming(speeds);
        for path in [stand.stack(), stand.side_by_side(), stand.going_round(), stand.pushed()] {
            let around = stand.around(&path);
            let mut gas = stand.settled(&path, 0.0);
            let step = 1e-2;
            let (above, below) = (stand.settled(&path, step), stand.settled(&path, -step));
            let changes = gas.respond(&around, &|k| stand.dual(k)).expect("a factor").to_vec();
            for ((change, above), below) in changes.iter().zip(above.cores()).zip(below.cores()) {
                let numbers = |met: &Met| {
                    let Met { flow, entering_k, fall_pa, exchange, .. } = *met;
                    [flow, entering_k, fall_pa, exchange.coolant_wall, exchange.wall_air]
                };
                let slopes = [
                    change.flow,
                    change.entering_k,
                    change.fall_pa,
                    change.exchange.coolant_wall,
                    change.exchange.wall_air,
                ];
                for (k, (above, below)) in
                    numbers(above).into_iter().zip(numbers(below)).enumerate()
                {
                    let want = (above - below) / (2.0 * step);
                    let got = slopes[k].slope();
                    assert!(
                        (got - want).abs() < 1e-5 * want.abs() + 1e-7,
                        "{} {speeds:?}: number {k} of core {}: {got}, difference {want}",
                        path.name,
                        change.core
                    );
                }
            }
            let by_flow = changes.iter().map(|change| change.flow.slope().abs());
            assert!(by_flow.fold(0.0, f64::max) > 1e-4, "warm walls slow the air down");
        }
    }
}

#[test]
fn lanes_side_by_side_share_mass_pressure_and_heat() {
    let stand = Stand::new([1.0, 1.0]);
    let path = stand.side_by_side();
    let gas = stand.settled(&path, 0.0);
    let [a, b, c] = [0, 1, 2].map(|k| gas.cores()[k]);
    near("flow of two cores in one lane", b.flow, c.flow, 1e-14);
    near("flow of both lanes", a.flow + b.flow, gas.through(), 1e-12);
    let fans: f64 = gas.fans().iter().map(|fan| fan.flow).sum();
    near("flow of the fans", fans, gas.through(), 1e-12);
    assert!(a.flow > 0.3 && b.flow > 0.3 && (a.flow / b.flow - 1.0).abs() > 0.05);
    // 40 Pa at 2 kg/s of 1.15 kg/m³ and the exponent 1.9, in the air behind the core; linear below 1 %.
    let (x, density) = (a.flow / 2.0, stand.air.density(a.leaving_k));
    let size = ((x * x + 1e-4) / 1.0001).sqrt();
    let duct = 40.0 * 1.15 / density * x * size.powf(0.9);
    near("fall of both lanes", a.fall_pa + duct, b.fall_pa + c.fall_pa, 1e-9);
    near("both lanes begin at the site", a.entering_k, AIR_K, 0.0);
    near("both lanes begin at the site", b.entering_k, AIR_K, 0.0);
    let heat: f64 = heats(&stand, &gas).iter().sum();
    let cp = stand.air.heat_capacity(AIR_K);
    let mixed_k = stand.air.density(1.0) / gas.fans()[0].density;
    near("mixed before the fans", mixed_k - AIR_K, heat / (gas.through() * cp), 1e-10);
}

/// Ways laid out by name are the lanes that were written by hand, but for the loss of the first, which stands in front of its
/// core; and what comes round warms the front as it would by mixing: `T_f = T + s (T_e − T)`.
#[test]
fn ways_are_lanes_between_two_plenums() {
    let stand = Stand::new([1.0, 0.9]);
    let behind = air::Stand { way: None, pushes: false };
    let path = stand.ways([behind; 2], None);
    let mut by_hand = stand.side_by_side();
    by_hand.lanes[1].elements.reverse();
    let (gas, hand) = (stand.settled(&path, 0.0), stand.settled(&by_hand, 0.0));
    for (a, b) in gas.cores().iter().zip(hand.cores()) {
        near("flow", a.flow, b.flow, 1e-12);
        near("fall", a.fall_pa, b.fall_pa, 1e-12);
        near("leaving", a.leaving_k, b.leaving_k, 1e-12);
    }
    let round = stand.pushed();
    let gas = stand.settled(&round, 0.0);
    let heat: f64 = heats(&stand, &gas).iter().sum();
    let front = gas.cores()[0].entering_k;
    let leaves = front + heat / (gas.through() * stand.air.heat_capacity(AIR_K));
    near("in front", front - AIR_K, 0.25 * (leaves - AIR_K), 1e-10);
    assert!(gas.cores()[1].flow > gas.cores()[0].flow, "it is pushed");
}

/// A wall that is 1 K warmer as a whole warms the air in front by what comes round of it, flows held.
#[test]
fn what_comes_round_follows_the_walls() {
    let stand = Stand::new([1.0, 0.8]);
    let path = stand.pushed();
    let gas = stand.settled(&path, 0.0);
    let cp = stand.air.heat_capacity(AIR_K);
    let behind = |core: usize, before: f64, warmer: usize| {
        let met = gas.cores()[core];
        let wall = stand.face(core, 0.0).wall_k + f64::from(u8::from(core == warmer)) / CELLS;
        before + CELLS * met.exchange.wall_air * (wall - before) / (met.flow * cp)
    };
    let entering = |warmer: usize| {
        let (a, b) = (gas.cores()[0].flow, gas.cores()[1].flow);
        let mut front = AIR_K;
        for _ in 0..400 {
            let second = behind(2, behind(1, front, warmer), warmer);
            let leaves = (a * behind(0, front, warmer) + b * second) / (a + b);
            front = AIR_K + 0.25 * (leaves - AIR_K);
        }
        [front, front, behind(1, front, warmer)]
    };
    let base = entering(usize::MAX);
    for wall in 0..3 {
        let warm = entering(wall);
        for core in 0..3 {
            let (want, got) = (warm[core] - base[core], gas.entering_by_cell(core, wall));
            assert!(want > 1e-5 && (got - want).abs() < 1e-9, "{core} by {wall}: {got}, {want}");
        }
    }
}

/// A fan that pushes takes 400 W at a density of 1.2 kg/m³ and full speed; all of it warms the air that it pushes, but for
/// what air next to rest leaves: `w²/(w² + w_s²)` of it, `w_s` a twentieth of 1.2 kg/m³ · 1.49 m³/s. The whole of it leaves
/// behind, and what comes round of it warms the front.
#[test]
fn fans_warm_the_air_that_they_move() {
    let stand = Stand::warming([1.0, 0.9]);
    let path = stand.pushed();
    let gas = stand.settled(&path, 0.0);
    let cp = stand.air.heat_capacity(AIR_K);
    let slow = 0.05 * 1.2 * 1.49;
    let warms = |fan: usize, speed: f64| {
        let (w, density) = (gas.fans()[fan].flow, gas.fans()[fan].density);
        400.0 * speed.powi(3) * density / 1.2 * w / (w * w + slow * slow) / cp
    };
    let [front, second] = [0, 1].map(|core| gas.cores()[core].entering_k);
    near("pushed", second - front, warms(1, 0.9), 1e-9);
    assert!(warms(1, 0.9) > 0.1, "{}", warms(1, 0.9));
    let heat = heats(&stand, &gas).iter().sum::<f64>();
    let by_pushing = warms(1, 0.9) * gas.cores()[1].flow * cp;
    let behind = front + (heat + by_pushing) / (gas.through() * cp);
    let leaves = behind + warms(0, 1.0);
    near("in front", front - AIR_K, 0.25 * (leaves - AIR_K), 1e-9);
    // A warmer wall thins the air at the fan, which then takes less.
    let path = stand.ways([air::Stand { way: None, pushes: false }; 2], Some(stand.round));
    let gas = stand.settled(&path, 0.0);
    let own = gas.entering_by_cell(0, 0);
    let cold = Stand::new([1.0, 0.9]);
    let path = cold.ways([air::Stand { way: None, pushes: false }; 2], Some(cold.round));
    assert!(own > 0.0 && own < cold.settled(&path, 0.0).entering_by_cell(0, 0), "{own}");
}

#[test]
fn air_that_goes_round_brings_its_heat_along() {
    let stand = Stand::new([1.0, 1.0]);
    let path = stand.going_round();
    let gas = stand.settled(&path, 0.0);
    let fresh = gas.through();
    let moved = gas.fans()[0].flow;
    assert!(fresh > 0.2 && moved > 1.1 * fresh, "{fresh} of {moved} kg/s is fresh");
    let heat: f64 = heats(&stand, &gas).iter().sum();
    let cp = stand.air.heat_capacity(AIR_K);
    let leaves_k = stand.air.density(1.0) / gas.fans()[0].density;
    near("what leaves carries all heat", leaves_k - AIR_K, heat / (fresh * cp), 1e-10);
    let mixed_k = (fresh * AIR_K + (moved - fresh) * leaves_k) / moved;
    for lane in [0, 2] {
        near("before the cores", gas.cores()[lane].entering_k, mixed_k, 1e-12);
    }
}

/// Temperatures that enter the cores of `going_round`, by going round many times with the flows and
/// exchanges of `gas`; one cell of the wall `warmer` is 1 K warmer.
fn by_going_round(stand: &Stand, gas: &GasNetwork, warmer: usize) -> [f64; 3] {
    let cp = stand.air.heat_capacity(AIR_K);
    let (fresh, moved) = (gas.through(), gas.fans()[0].flow);
    let mut entering = [AIR_K; 3];
    let mut leaves = AIR_K;
    for _ in 0..2000 {
        let mixed = (fresh * AIR_K + (moved - fresh) * leaves) / moved;
        let behind = |core: usize, before: f64| {
            let met = gas.cores()[core];
            let wall = stand.face(core, 0.0).wall_k + f64::from(u8::from(core == warmer)) / CELLS;
            before + CELLS * met.exchange.wall_air * (wall - before) / (met.flow * cp)
        };
        let second = behind(0, mixed);
        entering = [mixed, second, mixed];
        let (a, b) = (gas.cores()[0].flow, gas.cores()[2].flow);
        leaves = (a * behind(1, second) + b * behind(2, mixed)) / (a + b);
    }
    entering
}

#[test]
fn entering_air_follows_single_wall_cells_at_held_flows() {
    let stand = Stand::new([1.0, 0.0]);
    let path = stand.going_round();
    let gas = stand.settled(&path, 0.0);
    let base = by_going_round(&stand, &gas, usize::MAX);
    for wall in 0..3 {
        let warm = by_going_round(&stand, &gas, wall);
        for core in 0..3 {
            let want = warm[core] - base[core];
            let got = gas.entering_by_cell(core, wall);
            assert!(want > 1e-5 && (got - want).abs() < 1e-9, "{core} by {wall}: {got}, {want}");
        }
    }
    let gas = stand.settled(&stand.stack(), 0.0);
    let first = gas.cores()[0];
    let want = first.exchange.wall_air / (first.flow * stand.air.heat_capacity(AIR_K));
    near("behind one core", gas.entering_by_cell(1, 0), want, 1e-14);
    assert!(gas.entering_by_cell(0, 1).abs() < 1e-300, "nothing goes against the air");
}

/// Lists of results are made before anything is solved.
#[test]
fn cores_are_known_before_the_air_has_moved() {
    let stand = Stand::new([1.0, 1.0]);
    let gas = GasNetwork::new(&stand.stack());
    assert_eq!(gas.cores().iter().map(|met| met.core).collect::<Vec<_>>(), [0, 1, 2]);
    assert_eq!(gas.fans().len(), 2);
}

#[test]
fn nothing_moves_without_ram_or_fans() {
    let mut stand = Stand::new([0.0, 0.0]);
    stand.values.set(stand.ram[1], 0.0);
    for path in [stand.stack(), stand.side_by_side(), stand.going_round()] {
        let mut gas = stand.settled(&path, 0.0);
        let around = stand.around(&path);
        let met = gas.respond(&around, &|k| stand.dual(k)).expect("nothing to solve").to_vec();
        assert!(met.iter().all(|met| met.flow.value == 0.0 && met.flow.slope() == 0.0));
        assert!(gas.through().abs() < 1e-300);
    }
}

/// Where a fan and a quadratic loss both go with density, the volume flow is that of any altitude; and a loss
/// falls by what it is rated at, at its flow in its own air. 0.7 of the density: 1.2 and 0.84 kg/m³.
#[test]
fn a_loss_falls_with_mass_flux_over_density() {
    let mut values = Values::default();
    let [fall, flow, density, exponent] = [176.8, 0.36, 1.2, 2.0].map(|value| values.add(value));
    let loss = AirFall { fall, flow, density, exponent };
    near("rated", loss.at(&values, 1.0, 0.36, 1.2), 176.8, 1e-12);
    // The same velocity in thinner air: Δp ∝ ρ v².
    near("thin", loss.at(&values, 1.0, 0.7 * 0.36, 0.84), 0.7 * 176.8, 1e-4);
    // The same mass flow in thinner air: Δp ∝ 1/ρ.
    near("faster", loss.at(&values, 1.0, 0.36, 0.84), 176.8 / 0.7, 1e-12);
    // Half of the face, all of the flow: twice the flux.
    near("half", loss.at(&values, 0.5, 0.36, 1.2), 4.0 * 176.8, 1e-3);
    values.set(exponent, 1.2);
    near("its exponent", loss.at(&values, 1.0, 0.72, 1.2), 2.0_f64.powf(1.2) * 176.8, 1e-3);
    near("odd", loss.at(&values, 1.0, -0.72, 1.2), -loss.at(&values, 1.0, 0.72, 1.2), 1e-12);
}
