import type { RequirementName } from '../../../jobs/requirements/requirement.js';

interface EventTitle {
  readonly title: string;
  /** The requirements whose findings speak of the same places. */
  readonly askedBy: readonly RequirementName[];
}

/** What each kind of event is called in running text. */
const EVENTS: Readonly<Record<string, EventTitle>> = {
  black: { title: 'Black', askedBy: ['black-frames'] },
  'constant-colour': { title: 'One colour', askedBy: ['constant-colour'] },
  freeze: { title: 'Stands still', askedBy: ['freeze-frames'] },
  duplicate: { title: 'Repeated frames', askedBy: ['duplicate-frames'] },
  'missing-motion': { title: 'Lost frame', askedBy: ['duplicate-frames'] },
  'flash-frame': { title: 'Short shot', askedBy: ['short-shots'] },
  bars: { title: 'Other bars', askedBy: ['active-picture'] },
  'blank-edge': { title: 'Blank edge lines', askedBy: ['blank-edges'] },
  flash: { title: 'Flashes', askedBy: ['flashes'] },
  'red-flash': { title: 'Flashes of saturated red', askedBy: ['flashes'] },
  silence: { title: 'Silence', askedBy: ['silence', 'digital-silence'] },
  clipping: { title: 'Clipped sound', askedBy: ['clipping'] },
  'out-of-phase': { title: 'Out of phase', askedBy: ['channel-phase'] },
  'line-up-tone': { title: 'Line-up tone', askedBy: ['line-up-tone'] },
  'bad-frame': { title: 'Missing or faulty frame of a sequence', askedBy: ['decode'] },
  truncated: { title: 'Ends early', askedBy: ['decode'] },
  'timestamp-gap': { title: 'Gap in time stamps', askedBy: ['timestamps', 'constant-rate'] },
  'timestamp-repeat': { title: 'Repeated time stamp', askedBy: ['timestamps', 'constant-rate'] },
  'format-change': { title: 'Picture format changes', askedBy: ['decode'] },
  'sound-format-change': { title: 'Sound format changes', askedBy: ['audio'] },
};

function known(kind: string): EventTitle | undefined {
  return Object.hasOwn(EVENTS, kind) ? EVENTS[kind] : undefined;
}

/** The title of a kind of event; one this version does not know is shown by its key. */
export function eventTitle(kind: string): string {
  return known(kind)?.title ?? kind;
}

/** Whether a finding on this requirement speaks of the same thing as events of this kind. */
export function tellsOfEvent(requirement: string, kind: string): boolean {
  return known(kind)?.askedBy.some((name) => name === requirement) ?? false;
}
