import type { Box } from './walk-boxes.js';

/**
 * Which loudspeaker each channel of a track is for, in the order of its samples, by ffmpeg's short names;
 * null where the boxes do not say or use a name that has none there.
 */
export type SpeakerOrder = readonly string[] | null;

/** `chan` of QuickTime, and `chnl` of ISO/IEC 14496-12, among the boxes of a sample entry. */
export function speakerOrder(data: Buffer, boxes: readonly Box[], channels: number): SpeakerOrder {
  const find = (type: string): Box | undefined => boxes.find((box) => box.type === type);
  const chan = find('chan');
  const chnl = find('chnl');
  const order =
    chan !== undefined
      ? orderOfChan(data, chan)
      : chnl !== undefined
        ? orderOfChnl(data, chnl, channels)
        : null;
  return order !== null && order.length === channels ? order : null;
}

/**
 * Layout tags by their upper half, and the order of their channels (QuickTime's list of tags; from memory).
 */
const TAGS: Readonly<Record<number, string>> = {
  101: 'FL FR',
  108: 'FL FR BL BR',
  113: 'FL FR FC',
  114: 'FC FL FR',
  115: 'FL FR FC BC',
  116: 'FC FL FR BC',
  117: 'FL FR FC SL SR',
  118: 'FL FR SL SR FC',
  119: 'FL FC FR SL SR',
  120: 'FC FL FR SL SR',
  121: 'FL FR FC LFE SL SR',
  122: 'FL FR SL SR FC LFE',
  123: 'FL FC FR SL SR LFE',
  124: 'FC FL FR SL SR LFE',
  125: 'FL FR FC LFE SL SR BC',
  126: 'FL FR FC LFE SL SR FLC FRC',
  127: 'FC FLC FRC FL FR SL SR LFE',
  128: 'FL FR FC LFE SL SR BL BR',
  131: 'FL FR BC',
  132: 'FL FR SL SR',
  133: 'FL FR LFE',
  135: 'FL FR LFE SL SR',
  136: 'FL FR FC LFE',
  138: 'FL FR SL SR LFE',
};

/** Labels of `chan` from 1 on, which are the bits of its bitmap too. */
const LABELS = 'FL FR FC LFE SL SR FLC FRC BC'.split(' ');
const MORE_LABELS: Readonly<Record<number, string>> = { 33: 'BL', 34: 'BR', 42: 'FC' };
const BY_DESCRIPTIONS = 0;
const BY_BITMAP = 0x1_0000;
const DESCRIPTION_BYTES = 20;

function orderOfChan(data: Buffer, { body, end }: Box): SpeakerOrder {
  if (end - body < 16) return null;
  const tag = data.readUInt32BE(body + 4);
  if (tag === BY_BITMAP) {
    const bitmap = data.readUInt32BE(body + 8);
    if (bitmap >>> LABELS.length !== 0) return null;
    return LABELS.filter((_, bit) => ((bitmap >>> bit) & 1) === 1);
  }
  if (tag !== BY_DESCRIPTIONS) return TAGS[tag >>> 16]?.split(' ') ?? null;
  const count = data.readUInt32BE(body + 12);
  if (count > 64 || body + 16 + count * DESCRIPTION_BYTES > end) return null;
  const names = Array.from({ length: count }, (_, i) => {
    const label = data.readUInt32BE(body + 16 + i * DESCRIPTION_BYTES);
    return LABELS[label - 1] ?? MORE_LABELS[label] ?? null;
  });
  return names.every((name) => name !== null) ? names : null;
}

/** Loudspeaker positions of ISO/IEC 23001-8 by their number (from memory). */
const POSITIONS = 'FL FR FC LFE SL SR FLC FRC BL BR BC'.split(' ');

/**
 * Version 0, where every channel has its position. The defined layouts are left alone: the order of their
 * channels is read in two ways.
 */
function orderOfChnl(data: Buffer, { body, end }: Box, channels: number): SpeakerOrder {
  if (end - body < 6 + channels || data.readUInt8(body) !== 0) return null;
  const isStructured = (data.readUInt8(body + 4) & 1) === 1;
  if (!isStructured || data.readUInt8(body + 5) !== 0) return null;
  const names = Array.from({ length: channels }, (_, i) => POSITIONS[data.readUInt8(body + 6 + i)] ?? null);
  return names.every((name) => name !== null) ? names : null;
}
