/**
 * The three places of the demo film "The Last Lamp", as light: a lighthouse at dusk, its lamp room, and the
 * harbour by day. Everything is computed from position and time, so the same frame comes out on every
 * machine.
 *
 * `x` runs from 0 to 16/9, `y` from 0 (top) to 1 (bottom), `t` is seconds. Light is linear BT.709 R, G, B in
 * reflectance units: 0.18 is a grey card, 1.0 a white surface in full light; lamps go above.
 */
export type Light = [number, number, number];

/** Writes the light at one place into `out`. */
export type Shader = (x: number, y: number, out: Light) => void;

/** A scene fixes everything that depends on time alone and gives back the shader of that moment. */
export type Scene = (t: number) => Shader;

const ASPECT = 16 / 9;
const HORIZON = 0.66;

/**
 * Reflectances of the cards on the table, chosen by us to be like a crew's: grey, white, black and three
 * skins.
 */
export const CARD_PATCHES: readonly Light[] = [
  [0.18, 0.18, 0.18],
  [0.9, 0.9, 0.9],
  [0.03, 0.03, 0.03],
  [0.58, 0.36, 0.26],
  [0.36, 0.2, 0.13],
  [0.13, 0.068, 0.042],
];

function set(out: Light, r: number, g: number, b: number): void {
  out[0] = r;
  out[1] = g;
  out[2] = b;
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

/** A repeatable number in [0, 1) for a cell of a grid. */
function cellNoise(i: number, j: number): number {
  let h = Math.imul(i, 374761393) ^ Math.imul(j, 668265263);
  h = Math.imul(h ^ (h >>> 13), 1274126177);
  return ((h ^ (h >>> 16)) >>> 0) / 4294967296;
}

/** Height of the sea's surface as a slope, finer toward the horizon. */
function swell(x: number, depth: number, t: number): number {
  const far = 1 / (depth + 0.12);
  return (
    Math.sin(x * 9 * far + depth * 40 - t * 2.1) * 0.5 +
    Math.sin(x * 17 * far - depth * 63 + t * 1.3) * 0.3 +
    Math.sin(x * 5 + far * 21 + t * 3.1) * 0.2
  );
}

const LAMP_X = 0.56;
const LAMP_Y = 0.2;
const LAMP_RADIUS = 0.02;
/**
 * Light round the lamp is neutral up to here: chroma resampling can then never lift a channel above the lamp.
 */
const NEUTRAL_RADIUS = 0.055;

/** The lighthouse at dusk. `lamp` is the lamp's light and the brightest thing in the picture. */
export function lighthouse(lamp: number): Scene {
  return (t) => {
    const turn = (t * Math.PI * 2) / 3.2;
    const beamX = Math.cos(turn);
    const facing = 0.35 + 0.65 * Math.max(0, Math.sin(turn));
    return (x, y, out) => {
      const dx = x - LAMP_X;
      const dy = y - LAMP_Y;
      const distance = Math.sqrt(dx * dx + dy * dy);
      if (distance < LAMP_RADIUS) return set(out, lamp, lamp, lamp);

      if (y < HORIZON) duskSky(x, y, t, out);
      else duskSea(x, y, t, out);
      headland(x, y, out);
      tower(x, y, out);

      for (const side of [1, -1]) {
        const along = dx * beamX * side;
        if (along <= 0) continue;
        const width = 0.006 + 0.11 * along;
        const offset = (dy - along * 0.06) / width;
        if (offset * offset < 9) {
          add(out, (Math.exp(-offset * offset) * 0.75) / (1 + along * 2.4), 1, 0.93, 0.74);
        }
      }
      add(out, (0.0035 * facing) / (distance * distance + 0.0012), 1, 0.95, 0.82);
      calmNearLamp(distance, lamp, out);
    };
  };
}

function duskSky(x: number, y: number, t: number, out: Light): void {
  const up = 1 - y / HORIZON;
  const glow = Math.exp(-up * 4.2);
  set(out, 0.012 + 0.4 * glow, 0.02 + 0.19 * glow, 0.06 + 0.11 * glow + 0.05 * (1 - up));
  const band = Math.sin(x * 3.1 + y * 17 + Math.sin(x * 7 + t * 0.08) * 0.8) * Math.sin(y * 29 + x * 1.7);
  add(out, 0.06 * smooth(0.1, 0.9, band) * (1 - up), 0.9, 0.55, 0.45);
  const i = Math.floor(x * 34);
  const j = Math.floor(y * 34);
  const chance = cellNoise(i, j);
  if (chance > 0.86 && up > 0.4) {
    const sx = (i + 0.2 + 0.6 * cellNoise(j, i)) / 34;
    const sy = (j + 0.2 + 0.6 * cellNoise(i + 7, j)) / 34;
    const d2 = (x - sx) * (x - sx) + (y - sy) * (y - sy);
    if (d2 < 0.00003)
      add(out, (0.5 + 0.4 * Math.sin(t * 6 + chance * 90)) * (1 - d2 / 0.00003), 0.9, 0.95, 1);
  }
}

function duskSea(x: number, y: number, t: number, out: Light): void {
  const depth = (y - HORIZON) / (1 - HORIZON);
  const wave = swell(x, depth, t);
  const mirror = Math.exp(-depth * 2.6);
  set(out, 0.01 + 0.17 * mirror, 0.018 + 0.1 * mirror, 0.035 + 0.09 * mirror);
  add(out, 0.05 * (wave + 1), 0.4 * mirror + 0.08, 0.3 * mirror + 0.14, 0.2 * mirror + 0.2);
  const path = Math.exp(-((x - LAMP_X) * (x - LAMP_X)) / (0.004 + depth * 0.02));
  add(out, path * smooth(0.25, 0.95, wave) * 0.8, 1, 0.86, 0.6);
  add(out, smooth(0.86, 1, swell(x + 3, depth, t * 1.2)) * 0.22 * depth, 0.8, 0.9, 1);
}

function headland(x: number, y: number, out: Light): void {
  const ridge = 0.6 + 0.1 * smooth(0.5, 1.05, x) + 0.012 * Math.sin(x * 31) + 0.008 * Math.sin(x * 83);
  if (x < 1 && y > ridge && y < 0.72) {
    const lit = 0.02 + 0.03 * cellNoise(Math.floor(x * 150), Math.floor(y * 150));
    set(out, lit * 1.1, lit, lit * 0.9);
  }
}

function tower(x: number, y: number, out: Light): void {
  const half = 0.024 + (y - LAMP_Y) * 0.05;
  const across = (x - LAMP_X) / half;
  if (y > LAMP_Y + 0.035 && y < 0.625 && across > -1 && across < 1) {
    const round = 0.16 + 0.22 * Math.sqrt(1 - across * across) * (1 - 0.5 * across);
    if (Math.floor((y - 0.235) * 10) % 2 === 0) set(out, round, round * 0.95, round * 0.9);
    else set(out, round * 0.75, round * 0.13, round * 0.09);
  }
  const inGallery = y > LAMP_Y + 0.025 && y <= LAMP_Y + 0.035;
  const inRoof = y < LAMP_Y - 0.03 && y > LAMP_Y - 0.03 - (0.04 - Math.abs(x - LAMP_X)) * 0.9;
  if ((inGallery && Math.abs(x - LAMP_X) < 0.045) || inRoof) set(out, 0.03, 0.032, 0.04);
}

function calmNearLamp(distance: number, lamp: number, out: Light): void {
  const ceiling = lamp * 0.6;
  const top = Math.max(out[0], out[1], out[2]);
  if (distance < NEUTRAL_RADIUS) {
    const keep = smooth(LAMP_RADIUS + 0.015, NEUTRAL_RADIUS, distance);
    const grey = Math.min(ceiling, out[1]);
    set(out, grey + (out[0] - grey) * keep, grey + (out[1] - grey) * keep, grey + (out[2] - grey) * keep);
  }
  if (top > ceiling) {
    const scale = ceiling / top;
    set(out, out[0] * scale, out[1] * scale, out[2] * scale);
  }
}

/**
 * The lamp room: a turning lens, the keeper at his table, cards in front of him, the last light in the
 * window.
 */
export function lampRoom(lamp: number): Scene {
  return (t) => {
    const turn = t * 0.9;
    const pulse = 0.75 + 0.25 * Math.sin(turn * 2);
    const nod = 0.012 * Math.sin(t * 1.7);
    return (x, y, out) => {
      const warm = 0.05 + (0.1 * pulse) / (0.35 + (x - 1.35) * (x - 1.35) + (y - 0.4) * (y - 0.4));
      const planks = 1 - 0.25 * smooth(0.9, 1, Math.abs(Math.sin(x * 26)));
      set(out, warm * planks, warm * planks * 0.72, warm * planks * 0.46);
      if (x > 0.1 && x < 0.46 && y > 0.12 && y < 0.52) window(x, y, t, out);
      lens(x, y, turn, lamp, out);
      keeper(x, y - nod, pulse, out);
      if (y > 0.8) {
        const grain = 0.9 + 0.1 * Math.sin(y * 160 + Math.sin(x * 9) * 3);
        set(out, 0.12 * grain, 0.07 * grain, 0.04 * grain);
      }
      cards(x, y, out);
    };
  };
}

function window(x: number, y: number, t: number, out: Light): void {
  const frame = Math.abs(x - 0.28) < 0.006 || Math.abs(y - 0.32) < 0.006;
  if (frame || x < 0.112 || x > 0.448 || y < 0.132 || y > 0.508) set(out, 0.05, 0.04, 0.035);
  else if (y < 0.4) duskSky(x * 0.6, 0.35 + (y - 0.12) * 1.1, t, out);
  else duskSea(x * 0.6, HORIZON + (y - 0.4) * 2, t, out);
}

function lens(x: number, y: number, turn: number, lamp: number, out: Light): void {
  const dx = (x - 1.35) / 0.82;
  const dy = y - 0.42;
  const r = Math.sqrt(dx * dx + dy * dy);
  if (r > 0.31) return;
  const ring = Math.abs(((r * 34) % 1) - 0.5) * 2;
  const glint = Math.sin(Math.atan2(dy, dx) * 3 + turn * 3 + Math.floor(r * 34) * 0.7);
  const glass = 0.08 + 0.35 * ring * ring + 0.9 * smooth(0.55, 1, glint) * ring;
  set(out, glass * 0.95, glass * 1.02, glass * 0.86);
  add(out, (lamp * 0.0006) / (r * r + 0.0006), 1, 0.9, 0.66);
  if (r > 0.3) set(out, 0.25, 0.17, 0.06);
}

function keeper(x: number, y: number, pulse: number, out: Light): void {
  const shoulder = (x - 0.82) / 0.2;
  if (y > 0.58 + 0.22 * shoulder * shoulder && Math.abs(shoulder) < 1) {
    const knit = 0.75 + 0.25 * Math.sin(x * 210) * Math.sin(y * 210);
    set(out, 0.03 * knit, 0.06 * knit, 0.13 * knit);
    if (Math.abs(x - 0.82) < 0.01) set(out, 0.3, 0.24, 0.1);
  }
  const hx = (x - 0.82) / 0.085;
  const hy = (y - 0.45) / 0.12;
  const d2 = hx * hx + hy * hy;
  if (d2 < 1) {
    // Lit from the lamp at the right: a sphere's shading is enough to read as a face in a small picture.
    const light =
      (0.28 + 0.72 * Math.max(0, 0.75 * hx + 0.6 * Math.sqrt(1 - d2) - 0.2 * hy)) * (0.7 + 0.3 * pulse);
    set(out, 0.62 * light, 0.37 * light, 0.26 * light);
    if (hy > 0.35 && Math.abs(hx) < 0.85) set(out, 0.42 * light, 0.4 * light, 0.37 * light);
    const eye = (Math.abs(hx - 0.05) - 0.36) * (Math.abs(hx - 0.05) - 0.36) + (hy + 0.05) * (hy + 0.05) * 2;
    if (eye < 0.008) set(out, 0.02, 0.018, 0.016);
  }
  if (y > 0.3 && y < 0.385 && Math.abs(x - 0.82) < 0.098 - (0.385 - y) * 0.3) set(out, 0.025, 0.04, 0.07);
}

function cards(x: number, y: number, out: Light): void {
  if (y < 0.845 || y > 0.955) return;
  const place = (x - 0.3) / 0.125;
  const index = Math.floor(place);
  const patch = CARD_PATCHES[index];
  if (patch && place - index < 0.88) set(out, patch[0], patch[1], patch[2]);
}

/**
 * The harbour by day, for the small cameras: a boat crosses fast enough that the two fields of a frame
 * differ.
 */
export function harbour(t: number): Shader {
  const boat = ((t * 0.42 + 0.2) % (ASPECT + 0.6)) - 0.3;
  const bob = 0.008 * Math.sin(t * 4);
  return (x, y, out) => {
    if (y < 0.5) {
      const up = 1 - y / 0.5;
      set(out, 0.62 - 0.38 * up, 0.72 - 0.3 * up, 0.86 - 0.12 * up);
      const cloud = Math.sin(x * 4 + t * 0.2) + Math.sin(x * 9 - y * 8) * 0.5 + Math.sin(y * 19 + x * 2);
      add(out, 0.22 * smooth(0.7, 1.6, cloud), 1, 0.95, 0.9);
    } else {
      const depth = (y - 0.5) * 2;
      const wave = swell(x, depth, t);
      set(out, 0.06 + 0.05 * wave, 0.19 + 0.06 * wave, 0.24 + 0.07 * wave);
      add(out, smooth(0.6, 0.95, wave) * 0.5 * (1 - depth * 0.6), 1, 1, 0.95);
    }
    if (x > 1.3 && y > 0.4 && y < 0.56) quay(x, y, out);
    sail(x - boat, y - bob, out);
  };
}

function quay(x: number, y: number, out: Light): void {
  const house = Math.floor((x - 1.3) * 9);
  const top = 0.415 + 0.03 * cellNoise(house, 3);
  if (y < top) return;
  const tone = 0.25 + 0.3 * cellNoise(house, 11);
  set(out, tone, tone * (0.6 + 0.3 * cellNoise(house, 5)), tone * 0.55);
  if (y > 0.53) set(out, 0.14, 0.13, 0.12);
  else if ((x * 50) % 1 < 0.4 && (y * 40) % 1 < 0.45) set(out, 0.04, 0.05, 0.07);
}

function sail(x: number, y: number, out: Light): void {
  if (y > 0.56 && y < 0.62 && Math.abs(x) < 0.15 - (y - 0.56) * 0.8) set(out, 0.45, 0.05, 0.04);
  if (Math.abs(x) < 0.004 && y > 0.2 && y <= 0.56) set(out, 0.1, 0.07, 0.05);
  if (x > 0.01 && y > 0.22 && y < 0.53 && x < (y - 0.22) * 0.42) {
    const cloth = 0.82 - 0.5 * Math.abs(x - 0.06);
    set(out, cloth, cloth * 0.97, cloth * 0.9);
  }
  if (x < -0.01 && y > 0.3 && y < 0.53 && -x < (y - 0.3) * 0.4) set(out, 0.75, 0.32, 0.12);
}

/** The same scene with the lens stopped down: every light times `factor`. */
export function darker(shader: Shader, factor: number): Shader {
  return (x, y, out) => {
    shader(x, y, out);
    set(out, out[0] * factor, out[1] * factor, out[2] * factor);
  };
}
