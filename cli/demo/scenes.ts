/**
 * The three places of the demo film "The Last Lamp", as light: a lighthouse at dusk, its lamp room, and the
 * harbour by day. Everything is computed from position and time: the same frame each time.
 *
 * `x` runs from 0 to 16/9, `y` from 0 (top) to 1 (bottom), `t` is seconds. Light is linear BT.709 R, G, B in
 * reflectance units: 0.18 is a grey card, 1.0 a white surface in full light; lamps go above.
 */
export type Light = [red: number, green: number, blue: number];

/** Writes the light at one place into `out`. */
export type Shader = (x: number, y: number, out: Light) => void;

/** A scene fixes everything that depends on time alone and gives back the shader of that moment. */
export type Scene = (t: number) => Shader;

/** Cards on the table, chosen by us to be like a crew's: grey, white, black and three skins. Reflectances. */
export const CARD_PATCHES: readonly Light[] = [
  [0.18, 0.18, 0.18],
  [0.9, 0.9, 0.9],
  [0.03, 0.03, 0.03],
  [0.58, 0.36, 0.26],
  [0.36, 0.2, 0.13],
  [0.13, 0.068, 0.042],
];

/** Covers what is there with so much of a colour. */
function paint(out: Light, amount: number, r: number, g: number, b: number): void {
  out[0] = amount * r;
  out[1] = amount * g;
  out[2] = amount * b;
}

function add(out: Light, amount: number, r: number, g: number, b: number): void {
  out[0] += amount * r;
  out[1] += amount * g;
  out[2] += amount * b;
}

function smooth(from: number, to: number, value: number): number {
  const s = Math.min(1, Math.max(0, (value - from) / (to - from)));
  return s * s * (3 - 2 * s);
}

/** A number from 0 to 1 for a cell of a grid, always the same. */
function cellNoise(x: number, y: number): number {
  const s = Math.sin(Math.floor(x) * 127.1 + Math.floor(y) * 311.7) * 43758.5453;
  return s - Math.floor(s);
}

/** Slope of the sea's surface, finer toward the horizon. */
function swell(x: number, depth: number, t: number): number {
  const far = 1 / (depth + 0.12);
  const long = Math.sin(x * 9 * far + depth * 40 - t * 2.1) * 0.5;
  return (
    long + Math.sin(x * 17 * far - depth * 63 + t * 1.3) * 0.3 + Math.sin(x * 5 + far * 21 + t * 3) * 0.2
  );
}

const LAMP_X = 0.56;
const LAMP_Y = 0.2;
const LAMP_RADIUS = 0.02;
const HORIZON = 0.66;

/** Sky and sea at dusk, with the lamp's path on the water. */
function dusk(x: number, y: number, t: number, out: Light): void {
  const up = 1 - y / HORIZON;
  if (up > 0) {
    const glow = Math.exp(-up * 4.2);
    paint(out, 1, 0.012 + 0.4 * glow, 0.02 + 0.19 * glow, 0.11 - 0.05 * up + 0.11 * glow);
    const band = Math.sin(x * 3.1 + y * 17 + Math.sin(x * 7 + t * 0.08) * 0.8) * Math.sin(y * 29 + x * 1.7);
    add(out, 0.06 * smooth(0.1, 0.9, band) * (1 - up), 0.9, 0.55, 0.45);
    const star = cellNoise(x * 140, y * 140);
    if (up > 0.4 && star > 0.988) add(out, 0.5 + 0.4 * Math.sin(t * 6 + star * 9e4), 0.9, 0.95, 1);
    return;
  }
  const depth = (y - HORIZON) / (1 - HORIZON);
  const wave = swell(x, depth, t);
  const mirror = Math.exp(-depth * 2.6);
  paint(out, 1, 0.014 + 0.18 * mirror, 0.024 + 0.11 * mirror, 0.045 + 0.1 * mirror);
  add(out, 0.05 * wave, 0.4 * mirror + 0.08, 0.3 * mirror + 0.14, 0.2 * mirror + 0.2);
  const path = Math.exp(-((x - LAMP_X) * (x - LAMP_X)) / (0.004 + depth * 0.02));
  add(out, path * smooth(0.25, 0.95, wave) * 0.8, 1, 0.86, 0.6);
}

/** The lighthouse at dusk. `lamp` is the lamp's light and the brightest thing in the picture. */
export function lighthouse(lamp: number): Scene {
  return (t) => {
    const turn = (t * Math.PI * 2) / 3.2;
    const facing = 0.35 + 0.65 * Math.max(0, Math.sin(turn));
    return (x, y, out) => {
      const dx = x - LAMP_X;
      const dy = y - LAMP_Y;
      const distance = Math.sqrt(dx * dx + dy * dy);
      if (distance < LAMP_RADIUS) return paint(out, lamp, 1, 1, 1);
      dusk(x, y, t, out);
      const ridge = 0.6 + 0.1 * smooth(0.5, 1.05, x) + 0.012 * Math.sin(x * 31) + 0.008 * Math.sin(x * 83);
      if (x < 1 && y > ridge && y < 0.72) paint(out, 0.02 + 0.03 * cellNoise(x * 150, y * 150), 1.1, 1, 0.9);
      tower(dx, dy, out);
      const along = Math.abs(dx * Math.cos(turn));
      const offset = (dy - along * 0.06) / (0.006 + 0.11 * along);
      if (offset * offset < 9)
        add(out, (Math.exp(-offset * offset) * 0.75) / (1 + along * 2.4), 1, 0.93, 0.74);
      add(out, (0.0035 * facing) / (distance * distance + 0.0012), 1, 0.95, 0.82);
      // Neutral round the lamp and darker: resampled chroma then lifts no channel above the lamp.
      const grey = 1 - smooth(0.035, 0.055, distance);
      if (grey > 0) add(out, grey, out[1] - out[0], 0, out[1] - out[2]);
      const over = Math.max(out[0], out[1], out[2]) / (lamp * 0.6);
      if (over > 1) paint(out, 1 / over, out[0], out[1], out[2]);
    };
  };
}

function tower(x: number, y: number, out: Light): void {
  const across = x / (0.024 + y * 0.05);
  if (y > 0.035 && y < 0.425 && across > -1 && across < 1) {
    const round = 0.16 + 0.22 * Math.sqrt(1 - across * across) * (1 - 0.5 * across);
    if (Math.floor((y - 0.035) * 10) % 2 === 0) paint(out, round, 1, 0.95, 0.9);
    else paint(out, round, 0.75, 0.13, 0.09);
  }
  const isRoof = y < -0.03 && y > -0.066 + Math.abs(x) * 0.9;
  const isGallery = y > 0.025 && y <= 0.035 && Math.abs(x) < 0.045;
  if (isRoof || isGallery) paint(out, 1, 0.03, 0.032, 0.04);
}

/** The lamp room: a window on the last light, a turning lens, the keeper at his table, cards before him. */
export function lampRoom(lamp: number): Scene {
  return (t) => {
    const pulse = 0.75 + 0.25 * Math.sin(t * 1.8);
    return (x, y, out) => {
      const lensX = (x - 1.35) / 0.82;
      const lensY = y - 0.42;
      const warm = 0.05 + (0.1 * pulse) / (0.35 + lensX * lensX + lensY * lensY);
      const plank = warm * (1 - 0.25 * smooth(0.9, 1, Math.abs(Math.sin(x * 26))));
      paint(out, plank, 1, 0.72, 0.46);
      const pane = Math.max(Math.abs(x - 0.28), Math.abs(y - 0.32) * 0.9);
      const isFrame = pane > 0.165 || Math.abs(x - 0.28) < 0.006 || Math.abs(y - 0.32) < 0.006;
      if (pane < 0.18 && isFrame) paint(out, 1, 0.05, 0.04, 0.035);
      else if (pane < 0.18) dusk(x * 0.6, 0.26 + y, t, out);
      lens(lensX, lensY, t, lamp, out);
      keeper(x - 0.82, y - 0.012 * Math.sin(t * 1.7), pulse, out);
      if (y < 0.8) return;
      const grain = 0.9 + 0.1 * Math.sin(y * 160 + Math.sin(x * 9) * 3);
      paint(out, grain, 0.12, 0.07, 0.04);
      const place = (x - 0.3) / 0.125;
      const card = CARD_PATCHES[Math.floor(place)];
      if (card && place % 1 < 0.88 && y > 0.845 && y < 0.955) paint(out, 1, ...card);
    };
  };
}

function lens(x: number, y: number, t: number, lamp: number, out: Light): void {
  const r = Math.sqrt(x * x + y * y);
  if (r > 0.31) return;
  const ring = Math.abs(((r * 34) % 1) - 0.5) * 2;
  const glint = Math.sin(Math.atan2(y, x) * 3 + t * 2.7 + Math.floor(r * 34) * 0.7);
  const glass = 0.08 + 0.35 * ring * ring + 0.9 * smooth(0.55, 1, glint) * ring;
  paint(out, glass, 0.95, 1.02, 0.86);
  add(out, (lamp * 0.0006) / (r * r + 0.0006), 1, 0.9, 0.66);
  if (r > 0.3) paint(out, 1, 0.25, 0.17, 0.06);
}

function keeper(x: number, y: number, pulse: number, out: Light): void {
  if (Math.abs(x) > 0.2 || y < 0.3) return;
  const knit = 0.75 + 0.25 * Math.sin(x * 210) * Math.sin(y * 210);
  if (y > 0.58 + 5.5 * x * x) paint(out, knit, 0.03, 0.06, 0.13);
  const hx = x / 0.085;
  const hy = (y - 0.45) / 0.12;
  const d2 = hx * hx + hy * hy;
  if (d2 < 1) {
    // Lit from the lamp at the right: a sphere's shading is enough to read as a face in a small picture.
    const lit = Math.max(0, 0.75 * hx + 0.6 * Math.sqrt(1 - d2) - 0.2 * hy);
    const light = (0.28 + 0.72 * lit) * (0.7 + 0.3 * pulse);
    if (hy > 0.35) paint(out, light, 0.42, 0.4, 0.37);
    else paint(out, light, 0.62, 0.37, 0.26);
    const eye = Math.abs(hx - 0.05) - 0.36;
    if (eye * eye + (hy + 0.05) * (hy + 0.05) * 2 < 0.008) paint(out, 1, 0.02, 0.018, 0.016);
  }
  if (y < 0.385 && Math.abs(x) < 0.3 * y - 0.018) paint(out, 1, 0.025, 0.04, 0.07);
}

/** The harbour by day, for the small cameras: a boat crosses so fast that the fields of a frame differ. */
export function harbour(t: number): Shader {
  const boat = ((t * 0.42 + 0.2) % 2.4) - 0.3;
  return (x, y, out) => {
    const depth = y * 2 - 1;
    if (depth < 0) {
      paint(out, 1, 0.62 + 0.38 * depth, 0.72 + 0.3 * depth, 0.86 + 0.12 * depth);
      const cloud = Math.sin(x * 4 + t * 0.2) + Math.sin(x * 9 - y * 8) * 0.5 + Math.sin(y * 19 + x * 2);
      add(out, 0.22 * smooth(0.7, 1.6, cloud), 1, 0.95, 0.9);
    } else {
      const wave = swell(x, depth, t);
      paint(out, 1, 0.06 + 0.05 * wave, 0.19 + 0.06 * wave, 0.24 + 0.07 * wave);
      add(out, smooth(0.6, 0.95, wave) * (0.5 - depth * 0.3), 1, 1, 0.95);
    }
    const house = x > 1.3 && y < 0.53 ? cellNoise(x * 9, 3) : 1;
    if (y > 0.41 + 0.03 * house && house < 1) paint(out, 0.25 + 0.3 * house, 1, 0.6 + 0.3 * house, 0.6);
    boatWithSails(x - boat, y - 0.008 * Math.sin(t * 4), out);
  };
}

function boatWithSails(x: number, y: number, out: Light): void {
  if (y > 0.56 && y < 0.62 && Math.abs(x) < 0.6 - y * 0.8) paint(out, 1, 0.45, 0.05, 0.04);
  if (y > 0.2 && y <= 0.56 && Math.abs(x) < 0.004) paint(out, 1, 0.1, 0.07, 0.05);
  if (y < 0.53 && x > 0.01 && x < (y - 0.22) * 0.42) paint(out, 1, 0.8, 0.78, 0.72);
  if (y < 0.53 && x < -0.01 && -x < (y - 0.3) * 0.4) paint(out, 1, 0.75, 0.32, 0.12);
}
