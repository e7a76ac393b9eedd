import type { SinceJudged } from '../../../jobs/plan/batch.js';

/** What became of a file after it was judged, and what to do: its verdict is not that of what lies there. */
export const SINCE_WORDS: Readonly<Record<SinceJudged, { readonly what: string; readonly next: string }>> = {
  gone: {
    what: 'It is not there any more: it was judged, and then moved or deleted.',
    next: 'Put it back, or run the same command again: it is made again.',
  },
  changed: {
    what: 'It was changed after it was judged: its size or its time is not what it was.',
    next: 'Run the same command again: an output is made again, a master is measured as it is now.',
  },
  touched: {
    what: 'It was touched after it was judged, and may have been changed: owner, mode or name, content with the time put back, or the whole folder was copied.',
    next: 'Run the same command again: it is measured again, and made again only where it is another file.',
  },
};
