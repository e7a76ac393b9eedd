import { type Rational, rational, toNumber } from '../../signal/rational.js';
import { STANDARD_RATES } from '../../signal/standard-rates.js';
import type { TransferName } from '../../signal/transfer/transfer-functions.js';
import { bcdTimecode, type FrameHeader, HeaderBytes, HeaderFault } from './frame-header.js';

/** Fields of SMPTE ST 268-1:2014, clause 5: byte offsets in the file (tables 1 to 5). */
const AT = {
  imageOffset: 4,
  fileSize: 16,
  orientation: 768,
  elements: 770,
  width: 772,
  height: 776,
  descriptor: 800,
  transfer: 801,
  bitSize: 803,
  encoding: 806,
  linePadding: 812,
  pixelAspect: 1628,
  filmRate: 1724,
  timecode: 1920,
  interlace: 1928,
  televisionRate: 1940,
} as const;
/** A field of this value is not defined (ST 268-1, 4.2). */
const UNDEFINED = 0xffff_ffff;
/** A rate is a single precision float: 24000/1001 comes back to about one in ten million. */
const NEAR = 1e-5;

/** Of the transfer characteristics of table 3B only those that name one curve. */
const TRANSFERS: Readonly<Record<number, TransferName>> = { 6: 'bt709' };

export function isDpx(head: Uint8Array): boolean {
  return ['SDPX', 'XPDS'].includes(Buffer.from(head.subarray(0, 4)).toString('latin1'));
}

/**
 * What a DPX file declares. Its code for linear light is not taken: programs write it for any curve (common
 * practice, no source).
 *
 * @throws HeaderFault
 */
export function readDpx(head: Uint8Array): FrameHeader {
  const bytes = new HeaderBytes(head, Buffer.from(head.subarray(0, 4)).toString('latin1') === 'XPDS');
  const elements = bytes.u16(AT.elements);
  const [width, height, bitDepth] = [bytes.u32(AT.width), bytes.u32(AT.height), bytes.u8(AT.bitSize)];
  if (elements < 1 || width < 1 || height < 1 || bitDepth < 1) {
    throw new HeaderFault('its header declares no picture');
  }
  // The headers for film and television are optional: the picture may begin in their place.
  const end = Math.min(bytes.u32(AT.imageOffset), bytes.length);
  const there = (at: number): boolean => at + 4 <= end;
  const timecode = there(AT.timecode) ? bytes.u32(AT.timecode) : UNDEFINED;
  const television = there(AT.televisionRate) ? rateOf(bytes.f32(AT.televisionRate)) : null;
  const film = there(AT.filmRate) ? rateOf(bytes.f32(AT.filmRate)) : null;
  const size = bytes.u32(AT.fileSize);
  return {
    ...{ kind: 'dpx', width, height, bitDepth },
    samples: `${bitDepth}-bit ${bitDepth > 16 ? 'floats' : 'integers'}, descriptor ${bytes.u8(AT.descriptor)}`,
    rate: television ?? film,
    // The form has no place for drop frame.
    timecode: timecode === UNDEFINED ? null : bcdTimecode(timecode, false),
    sampleAspect: aspectOf(bytes.u32(AT.pixelAspect), bytes.u32(AT.pixelAspect + 4)),
    transfer: TRANSFERS[bytes.u8(AT.transfer)] ?? null,
    primaries: null,
    interlaced: there(AT.interlace) && bytes.u8(AT.interlace) === 1,
    fileBytes: size === UNDEFINED || size === 0 ? null : size,
    refused:
      refusalOf(elements, bitDepth, bytes.u16(AT.encoding)) ??
      layoutRefusal(bytes.u16(AT.orientation), bytes.u32(AT.linePadding)),
  };
}

/** ffmpeg 5.1 decodes one element of 8, 10, 12 or 16-bit integers, stored without run lengths. */
function refusalOf(elements: number, bitDepth: number, encoding: number): string | null {
  if (elements > 1) return `it has ${elements} image elements, of which ffmpeg decodes only the first`;
  if (encoding === 1) return 'its samples are run-length coded, which ffmpeg does not decode';
  if (![8, 10, 12, 16].includes(bitDepth))
    return `its samples have ${bitDepth} bits, which ffmpeg does not decode`;
  return null;
}

/** ffmpeg 5.1 reads each picture from the top left, line after line without a gap, whatever is declared. */
function layoutRefusal(orientation: number, linePadding: number): string | null {
  if (orientation !== 0 && orientation !== 0xffff)
    return `its lines do not run from the top left (image orientation ${orientation}), which ffmpeg does not follow`;
  if (linePadding !== 0 && linePadding !== UNDEFINED)
    return `its lines have ${linePadding} bytes of padding, which ffmpeg takes for samples`;
  return null;
}

/** Null where it is undefined, or no rate of pictures. */
function rateOf(value: number): Rational | null {
  if (!Number.isFinite(value) || value < 1 || value > 1000) return null;
  const standard = STANDARD_RATES.find((rate) => Math.abs(toNumber(rate) / value - 1) < NEAR);
  return standard ?? rational(Math.round(value * 1000), 1000);
}

function aspectOf(across: number, down: number): Rational | null {
  const isStated = across !== UNDEFINED && down !== UNDEFINED && across > 0 && down > 0;
  return isStated ? rational(across, down) : null;
}
