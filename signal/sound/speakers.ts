/** ffmpeg's names of its standard layouts, in the order its decoders deliver the channels. */
const LAYOUTS: Readonly<Record<string, string>> = {
  mono: 'FC',
  stereo: 'FL+FR',
  downmix: 'DL+DR',
  '2.1': 'FL+FR+LFE',
  '3.0': 'FL+FR+FC',
  '3.0(back)': 'FL+FR+BC',
  '4.0': 'FL+FR+FC+BC',
  quad: 'FL+FR+BL+BR',
  'quad(side)': 'FL+FR+SL+SR',
  '3.1': 'FL+FR+FC+LFE',
  '5.0': 'FL+FR+FC+BL+BR',
  '5.0(side)': 'FL+FR+FC+SL+SR',
  '4.1': 'FL+FR+FC+LFE+BC',
  '5.1': 'FL+FR+FC+LFE+BL+BR',
  '5.1(side)': 'FL+FR+FC+LFE+SL+SR',
  '6.0': 'FL+FR+FC+BC+SL+SR',
  '6.0(front)': 'FL+FR+FLC+FRC+SL+SR',
  hexagonal: 'FL+FR+FC+BL+BR+BC',
  '6.1': 'FL+FR+FC+LFE+BC+SL+SR',
  '6.1(back)': 'FL+FR+FC+LFE+BL+BR+BC',
  '6.1(front)': 'FL+FR+LFE+FLC+FRC+SL+SR',
  '7.0': 'FL+FR+FC+BL+BR+SL+SR',
  '7.0(front)': 'FL+FR+FC+FLC+FRC+SL+SR',
  '7.1': 'FL+FR+FC+LFE+BL+BR+SL+SR',
  '7.1(wide)': 'FL+FR+FC+LFE+BL+BR+FLC+FRC',
  '7.1(wide-side)': 'FL+FR+FC+LFE+FLC+FRC+SL+SR',
  octagonal: 'FL+FR+FC+BL+BR+BC+SL+SR',
  '22.2': 'FL+FR+FC+LFE+BL+BR+FLC+FRC+BC+SL+SR+TC+TFL+TFC+TFR+TBL+TBC+TBR+LFE2+TSL+TSR+BFC+BFL+BFR',
};

const SPEAKERS = new Set(
  'FL FR FC LFE BL BR FLC FRC BC SL SR TC TFL TFC TFR TBL TBC TBR DL DR WL WR LFE2 TSL TSR BFC BFL BFR'.split(
    ' ',
  ),
);

/** Whether loudspeakers stand in the one order in which ffmpeg, and what it writes, can have them. */
export function isUsualOrder(speakers: readonly string[]): boolean {
  const order = [...SPEAKERS];
  const places = speakers.map((name) => order.indexOf(name));
  return places.every((place, i) => i === 0 || place > (places[i - 1] ?? 0));
}

/**
 * Loudspeaker of each channel, for a layout as ffmpeg names it (`5.1(side)`) or spells it out (`FL+FR+LFE`);
 * null where the layout is not declared, not known or has another number of channels.
 */
export function speakersOf(channels: number, layout: string | null): readonly string[] | null {
  const text = layout === null ? null : Object.hasOwn(LAYOUTS, layout) ? LAYOUTS[layout] : layout;
  const speakers = text?.split('+') ?? [];
  return speakers.length === channels && speakers.every((name) => SPEAKERS.has(name)) ? speakers : null;
}
