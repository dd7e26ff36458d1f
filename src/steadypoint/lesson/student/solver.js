// Operating points of a circuit with exponential junctions and channels: Newton's method on the
// node equations. `program` is what Python wrote; all values in SI units.

const LEAK = 1e-12;
const GATE_STEP = 3;
const CONDUCTING = 1e-8;

const junction = (v, I_S, nV, top) => {
  if (v > top) {
    const i = I_S * Math.exp(top / nV);
    return [i * (1 + (v - top) / nV), i / nV];
  }
  const i = I_S * Math.exp(v / nV);
  return [i, i / nV];
};

const leakage = (v, I_CBO, nV) => {
  if (I_CBO === 0) return [LEAK * v, LEAK];
  const span = Math.abs(v) + 2 * nV;
  return [(I_CBO * v) / span + LEAK * v, (I_CBO * 2 * nV) / (span * span) + LEAK];
};

const limited = (v, old, nV, on) => {
  if (v > old) {
    const base = Math.max(old, on);
    const step = (v - base) / nV;
    return step > 0.5 ? base + nV * Math.log1p(step) : v;
  }
  const step = (v - old) / nV;
  if (step < -0.5 && old > on - 10 * nV) return old + nV * Math.log1p(Math.max(step, -0.99));
  return v;
};

const exponential = (v, I_S, nV) => {
  const x = v / nV;
  if (x > 80) {
    const rise = I_S * Math.exp(80);
    return [rise * (1 + x - 80) - I_S, rise / nV];
  }
  return [I_S * Math.expm1(x), (I_S * Math.exp(x)) / nV];
};

// Collector and base current of a registered type, with their slopes by v_BE and v_BC.
const charge = (vf, vr, p) => {
  const [I_S, V_F, byF, byR, byVA, byVAR, byKnee, I_leak, V_leak, I_CBO, V_T] = p;
  const [iF, gF] = exponential(vf, I_S, V_F);
  const [iR, gR] = exponential(vr, I_S, V_F);
  const early = 1 - vr * byVA - vf * byVAR;
  const root = Math.sqrt(0.25 + Math.max(iF + iR, 0) * byKnee);
  const base = 0.5 + root;
  const widening = (iF - iR) / base;
  const through = widening * early;
  const fall = (0.5 * byKnee * through) / (root * base);
  const tF = gF * (early / base - fall) - widening * byVAR;
  const tR = -gR * (early / base + fall) - widening * byVA;
  const [il, gl] = I_leak ? exponential(vf, I_leak, V_leak) : [0, 0];
  let iB = iR * byR;
  let gB = gR * byR;
  if (I_CBO) {
    const blocked = Math.tanh((0.5 * vr) / V_T);
    iB += I_CBO * blocked;
    gB += (0.5 * I_CBO * (1 - blocked * blocked)) / V_T;
  }
  return [through - iB, iF * byF + il + iB, tF, tR - gB, gF * byF + gl, gB];
};

export const channel = (vGS, vGD, [K, threshold, byVA]) => {
  const a = Math.max(vGS - threshold, 0);
  const b = Math.max(vGD - threshold, 0);
  const vDS = vGS - vGD;
  const plain = K * (a > 0 && b > 0 ? vDS : a - b) * (a + b);
  const stretch = 1 + byVA * Math.abs(vDS);
  const longer = plain * byVA * (vDS >= 0 ? 1 : -1);
  return [plain * stretch, 2 * K * a * stretch + longer, -2 * K * b * stretch - longer];
};

export const bipolar = (law, k, vf, vr, beta) => {
  const full = law.full[k];
  if (full) {
    const [C, B, CF, CR, BF, BR] = charge(vf, vr, full);
    return [C - LEAK * vr, B + LEAK * (vf + vr), CF, CR - LEAK, BF + LEAK, BR + LEAK];
  }
  const f = 2 * k;
  const r = f + 1;
  const [ef, gf] = junction(vf, law.I_S[f], law.nV[f], law.top[f]);
  const [er, gr] = junction(vr, law.I_S[r], law.nV[r], law.top[r]);
  const early = 1 - vr * law.early[k];
  const jf = ef - law.I_S[f];
  const jr = er - law.I_S[r];
  const [lr, gl] = leakage(vr, law.leak[k], law.nV[r]);
  const back = gr * law.back[k] + gl;
  return [
    (jf - jr) * early - jr * law.back[k] - lr,
    jf / beta + jr * law.back[k] + LEAK * vf + lr,
    gf * early,
    -gr * early - (jf - jr) * law.early[k] - back,
    gf / beta + LEAK,
    back,
  ];
};

// The law at one of the program's temperatures: of all but the first only what differs is written.
const known = new WeakMap();
export const lawOf = (program, k) => {
  if (!known.has(program)) known.set(program, []);
  const laws = known.get(program);
  if (!laws[k]) {
    const law = { ...program.laws[0], ...program.laws[k] };
    law.top = law.I_S.map((I_S, j) => law.nV[j] * Math.log(1e3 / I_S));
    law.on = law.I_S.map((I_S, j) => law.nV[j] * Math.log(1e-4 / I_S));
    laws[k] = law;
  }
  return laws[k];
};

// Solve A x = b in place, with the largest pivot of each column; false when A is singular.
const solveLinear = (A, b) => {
  const n = b.length;
  for (let k = 0; k < n; k++) {
    let p = k;
    for (let i = k + 1; i < n; i++) if (Math.abs(A[i][k]) > Math.abs(A[p][k])) p = i;
    if (!(Math.abs(A[p][k]) > 0)) return false;
    [A[k], A[p]] = [A[p], A[k]];
    [b[k], b[p]] = [b[p], b[k]];
    for (let i = k + 1; i < n; i++) {
      const f = A[i][k] / A[k][k];
      if (f === 0) continue;
      for (let j = k; j < n; j++) A[i][j] -= f * A[k][j];
      b[i] -= f * b[k];
    }
  }
  for (let i = n - 1; i >= 0; i--) {
    let sum = b[i];
    for (let j = i + 1; j < n; j++) sum -= A[i][j] * b[j];
    b[i] = sum / A[i][i];
  }
  return true;
};

// Ends of every junction and channel: node that is positive when it conducts, other node, sign.
const ends = (program, law) => [
  ...program.bipolars.flatMap(([, s, c, b, e]) => [
    [b, e, s],
    [b, c, s],
  ]),
  ...program.diodes.map(([, a, k]) => [a, k, 1]),
  ...law.breaks.map((d) => [program.diodes[d][2], program.diodes[d][1], 1]),
  ...program.fets.flatMap(([, s, d, g, source]) => [
    [g, source, s],
    [g, d, s],
  ]),
];

const at = (V, node) => (node < 0 ? 0 : V[node]);

// `given` holds values by name that differ from the program's, `beta` by transistor, and
// `temperature`, the number of an entry of `laws`. With `off`, the name of a transistor, its current
// is `forced`. Null when nothing settles.
export const solve = (program, given, start) => {
  const law = lawOf(program, given.temperature ?? program.nominal);
  const n = program.nodes.length;
  const size = n + program.voltages.length;
  const exponentials = law.I_S.length;
  const junctions = ends(program, law);
  const V = Float64Array.from(start ?? program.start);
  const wanted = () =>
    junctions.map(([a, b, s], j) => s * (at(V, a) - at(V, b)) - (law.offset[j] ?? 0));
  const beta = program.bipolars.map(([name], k) => given.beta?.[name] ?? program.betas[k] ?? 1);
  const out = new Set();
  program.bipolars.forEach(([name], k) => {
    if (name === given.off) out.add(2 * k).add(2 * k + 1);
  });
  program.fets.forEach(([name], m) => {
    if (name === given.off) out.add(exponentials + 2 * m).add(exponentials + 2 * m + 1);
  });
  let v = wanted();
  for (let step = 0; step < 120; step++) {
    const A = Array.from({ length: size }, () => new Float64Array(size));
    const b = new Float64Array(size);
    const add = (i, j, g) => {
      if (i >= 0 && j >= 0) A[i][j] += g;
    };
    const leave = (i, amount) => {
      if (i >= 0) b[i] -= amount;
    };
    program.resistors.forEach(([name, p, q], k) => {
      const g = given.values?.[name] === undefined ? law.g[k] : 1 / given.values[name];
      add(p, p, g);
      add(q, q, g);
      add(p, q, -g);
      add(q, p, -g);
    });
    for (const node of program.leaks) add(node, node, LEAK);
    for (const [name, p, q, value] of program.currents) {
      const amount = given.values?.[name] ?? value;
      leave(p, amount);
      leave(q, -amount);
    }
    program.voltages.forEach(([name, p, q, value], k) => {
      const row = n + k;
      add(p, row, 1);
      add(q, row, -1);
      add(row, p, 1);
      add(row, q, -1);
      b[row] = given.values?.[name] ?? value;
    });
    // A current that leaves `node` with slopes against junctions, taken at the limited voltages.
    const device = (node, sign, current, slopes) => {
      if (node < 0) return;
      let rest = current;
      for (const [j, g] of slopes) {
        const [p, q, s] = junctions[j];
        rest -= g * (v[j] + (law.offset[j] ?? 0));
        add(node, p, sign * g * s);
        add(node, q, -sign * g * s);
      }
      b[node] -= sign * rest;
    };
    program.bipolars.forEach(([name, s, c, base, e], k) => {
      const f = 2 * k;
      if (given.off === name) {
        // its current is forced, its junctions are out
        leave(c, s * given.forced);
        leave(base, (s * given.forced) / beta[k]);
        leave(e, -s * given.forced * (1 + 1 / beta[k]));
        return;
      }
      const [C, B, CF, CR, BF, BR] = bipolar(law, k, v[f], v[f + 1], beta[k]);
      device(c, s, C, [[f, CF], [f + 1, CR]]);
      device(base, s, B, [[f, BF], [f + 1, BR]]);
      device(e, -s, C + B, [[f, CF + BF], [f + 1, CR + BR]]);
    });
    const first = 2 * program.bipolars.length;
    program.diodes.forEach(([, a, k], d) => {
      const j = first + d;
      const [e, g] = junction(v[j], law.I_S[j], law.nV[j], law.top[j]);
      const i = e - law.rest[j] + LEAK * v[j];
      device(a, 1, i, [[j, g + LEAK]]);
      device(k, -1, i, [[j, g + LEAK]]);
    });
    law.breaks.forEach((d, m) => {
      const j = first + program.diodes.length + m;
      const [, a, k] = program.diodes[d];
      const [e, g] = junction(v[j], law.I_S[j], law.nV[j], law.top[j]);
      device(k, 1, e - law.rest[j], [[j, g]]);
      device(a, -1, e - law.rest[j], [[j, g]]);
    });
    program.fets.forEach(([name, s, d, , source], m) => {
      const j = exponentials + 2 * m;
      if (given.off === name) {
        leave(d, s * given.forced);
        leave(source, -s * given.forced);
        return;
      }
      const [i, gs, gd] = channel(v[j], v[j + 1], law.channels[m]);
      device(d, s, i, [[j, gs], [j + 1, gd]]);
      device(source, -s, i, [[j, gs], [j + 1, gd]]);
    });
    if (!solveLinear(A, b)) return null;
    let moved = 0;
    for (let i = 0; i < n; i++) {
      if (!Number.isFinite(b[i])) return null;
      moved = Math.max(moved, Math.abs(b[i] - V[i]) / (1 + Math.abs(b[i])));
      V[i] = b[i];
    }
    const w = wanted();
    let limit = 0;
    v = w.map((x, j) => {
      if (out.has(j)) return x;
      const next =
        j < exponentials
          ? limited(x, v[j], law.nV[j], law.on[j])
          : Math.min(Math.max(x, v[j] - GATE_STEP), v[j] + GATE_STEP);
      limit = Math.max(limit, Math.abs(next - x));
      return next;
    });
    if (limit === 0 && moved < 4e-15 * size) return result(program, law, V, v, beta);
    if (limit === 0 && step > 60 && moved < 1e-11) return result(program, law, V, v, beta);
  }
  return null;
};

const result = (program, law, V, v, beta) => {
  const transistors = {};
  program.bipolars.forEach(([name, s], k) => {
    const [C, B] = bipolar(law, k, v[2 * k], v[2 * k + 1], beta[k]);
    const f = v[2 * k];
    const r = v[2 * k + 1];
    const log = law.full[k] ? Math.log1p : Math.log;
    const on = law.nV[2 * k] * log(CONDUCTING / law.I_S[2 * k]);
    let region = "active";
    if (Math.max(f, r) < on) region = "cutoff";
    else if (r > f) region = "reverse";
    else if (f - r <= program.saturation[k]) region = "saturation";
    const [oc, ob, oe] = program.outer[k];
    const V_CE = at(V, oc) - at(V, oe);
    const P = s * C * V_CE + s * B * (at(V, ob) - at(V, oe));
    transistors[name] = { fet: false, sign: s, I: s * C, I_B: s * B, V: V_CE, P, region };
  });
  const exponentials = law.I_S.length;
  const first = 2 * program.bipolars.length;
  program.fets.forEach(([name, s, d, g, source], m) => {
    const j = exponentials + 2 * m;
    const a = v[j] - law.channels[m][1];
    const b = v[j + 1] - law.channels[m][1];
    let I = s * channel(v[j], v[j + 1], law.channels[m])[0];
    let I_G = 0;
    program.diodes.forEach(([of, anode, cathode], k) => {
      if (of !== name) return;
      const x = first + k;
      const i = junction(v[x], law.I_S[x], law.nV[x], law.top[x])[0] - law.rest[x] + LEAK * v[x];
      if (anode === d) I += i;
      if (cathode === d) I -= i;
      if (anode === g) I_G += i;
      if (cathode === g) I_G -= i;
    });
    let region = "saturation";
    if (a <= 0 && b <= 0) region = "cutoff";
    else if (b > a) region = "reverse";
    else if (b > 0) region = "triode";
    const [od, og, os] = program.outer[program.bipolars.length + m];
    const V_DS = at(V, od) - at(V, os);
    const V_GS = at(V, og) - at(V, os);
    const P = I * V_DS + I_G * V_GS;
    transistors[name] = { fet: true, sign: s, I, V: V_DS, V_GS, P, region };
  });
  const nodes = Object.fromEntries(program.nodes.map((name, k) => [name, V[k]]));
  return { nodes, transistors, V };
};
