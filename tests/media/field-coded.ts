/**
 * H.264 whose two fields are coded apart, which no encoder of ffmpeg's makes: written bit by bit after ITU-T
 * H.264, clause 7.3 (syntax; from memory), all macroblocks I_PCM, so that every code is known. 32 x 64
 * pixels, top field first.
 */
class Bits {
  #text = '';
  u(count: number, value: number): this {
    this.#text += value.toString(2).padStart(count, '0');
    return this;
  }
  ue(value: number): this {
    const code = (value + 1).toString(2);
    this.#text += '0'.repeat(code.length - 1) + code;
    return this;
  }
  align(): this {
    this.#text += '0'.repeat((8 - (this.#text.length % 8)) % 8);
    return this;
  }
  bytes(values: readonly number[]): this {
    for (const value of values) this.u(8, value);
    return this;
  }
  /** With the stop bit, and three-byte start codes broken up. */
  unit(header: number): Buffer {
    this.u(1, 1).align();
    const out: number[] = [];
    let zeros = 0;
    for (let at = 0; at < this.#text.length; at += 8) {
      const byte = Number.parseInt(this.#text.slice(at, at + 8), 2);
      if (zeros >= 2 && byte <= 3) {
        out.push(3);
        zeros = 0;
      }
      out.push(byte);
      zeros = byte === 0 ? zeros + 1 : 0;
    }
    return Buffer.from([0, 0, 0, 1, header, ...out]);
  }
}

const MACROBLOCKS = 4;

function sequence(rate: number): Buffer {
  const bits = new Bits().u(8, 77).u(8, 0).u(8, 30).ue(0).ue(4).ue(0).ue(4).ue(2).u(1, 0);
  // 2 macroblocks wide, 2 map units of a field high; fields, no frame-adaptive coding, direct_8x8, no
  // cropping.
  bits.ue(1).ue(1).u(1, 0).u(1, 0).u(1, 1).u(1, 0);
  // VUI: nothing but the timing, fixed.
  bits
    .u(1, 1)
    .u(4, 0)
    .u(1, 1)
    .u(32, 1)
    .u(32, 2 * rate)
    .u(1, 1)
    .u(2, 0)
    .u(1, 1)
    .u(1, 0);
  return bits.unit(0x67);
}

function picture(): Buffer {
  const bits = new Bits().ue(0).ue(0).u(2, 0).ue(0).ue(0).ue(0).u(3, 0);
  return bits.ue(0).ue(0).ue(0).u(3, 0).unit(0x68);
}

function field(frame: number, isBottom: boolean, luma: number): Buffer {
  const bits = new Bits()
    .ue(0)
    .ue(7)
    .ue(0)
    .u(8, 0)
    .u(1, 1)
    .u(1, isBottom ? 1 : 0);
  if (!isBottom) bits.ue(frame % 2);
  bits.u(8, isBottom ? 1 : 0);
  // The first field is an instant refresh, the second a plain reference of the same frame number.
  bits.u(isBottom ? 1 : 2, 0).ue(0);
  for (let macroblock = 0; macroblock < MACROBLOCKS; macroblock++) {
    bits.ue(25).align();
    bits.bytes([...new Array<number>(256).fill(luma), ...new Array<number>(128).fill(128)]);
  }
  return bits.unit(isBottom ? 0x21 : 0x65);
}

const DELIMITER = Buffer.from([0, 0, 0, 1, 9, 0x10]);

/**
 * A stream of frames of two fields. Wrap it with an input rate of twice the frame rate: ffmpeg counts each
 * field.
 */
export function fieldCodedH264(frames: number, rate: number): Buffer {
  return Buffer.concat(
    Array.from({ length: frames }, (_, frame) => [
      ...[DELIMITER, sequence(rate), picture(), field(frame, false, 40 + frame)],
      ...[DELIMITER, field(frame, true, 140 + frame)],
    ]).flat(),
  );
}
