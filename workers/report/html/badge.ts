import { type Html, html, trusted } from './markup.js';

/** Everything a badge can say. Word and shape differ for each, so none is told by colour alone. */
export type BadgeKind =
  | 'fail'
  | 'unmeasured'
  | 'warn'
  | 'pass'
  | 'unjudged'
  | 'not-done'
  | 'waiting'
  | 'unreadable'
  | 'refused'
  | 'waived';

type Shape = 'cross' | 'gap' | 'triangle' | 'tick' | 'ring' | 'bar' | 'hand';

const BADGES: Readonly<Record<BadgeKind, { word: string; shape: Shape; tone: string }>> = {
  fail: { word: 'Fail', shape: 'cross', tone: 'fail' },
  unmeasured: { word: 'Unmeasured', shape: 'gap', tone: 'unmeasured' },
  warn: { word: 'Warn', shape: 'triangle', tone: 'warn' },
  pass: { word: 'Pass', shape: 'tick', tone: 'pass' },
  unjudged: { word: 'Not judged', shape: 'ring', tone: 'plain' },
  'not-done': { word: 'Not done', shape: 'bar', tone: 'fail' },
  waiting: { word: 'Waiting', shape: 'ring', tone: 'plain' },
  unreadable: { word: 'Unreadable', shape: 'bar', tone: 'fail' },
  refused: { word: 'Refused', shape: 'bar', tone: 'fail' },
  waived: { word: 'Waived', shape: 'hand', tone: 'plain' },
};

/** The word of a badge, where there is no room for its shape. */
export function badgeWord(kind: BadgeKind): string {
  return BADGES[kind].word;
}

export function badge(kind: BadgeKind): Html {
  const { word, shape, tone } = BADGES[kind];
  return html`<span class="badge tone-${tone}"><svg class="shape" aria-hidden="true"><use href="#shape-${shape}"/></svg>${word}</span>`;
}

/** The shapes, drawn once and used by every badge. */
export const BADGE_SHAPES: Html =
  trusted(`<svg width="0" height="0" class="store" aria-hidden="true" focusable="false">
<symbol id="shape-cross" viewBox="0 0 16 16"><path d="M5 1h6l4 4v6l-4 4H5l-4-4V5z"/><path class="cut" d="M5 5l6 6M11 5l-6 6"/></symbol>
<symbol id="shape-gap" viewBox="0 0 16 16"><circle cx="8" cy="8" r="6.6" fill="none" stroke="currentColor" stroke-width="2.4" stroke-dasharray="4.2 2.7"/></symbol>
<symbol id="shape-triangle" viewBox="0 0 16 16"><path d="M8 1l7.5 14H.5z"/><path class="cut" d="M8 6v4M8 12v.8"/></symbol>
<symbol id="shape-tick" viewBox="0 0 16 16"><circle cx="8" cy="8" r="7.5"/><path class="cut" d="M4.5 8.2l2.4 2.4 4.6-5"/></symbol>
<symbol id="shape-ring" viewBox="0 0 16 16"><path fill-rule="evenodd" d="M8 .5a7.5 7.5 0 1 1 0 15 7.5 7.5 0 0 1 0-15zm0 2.5a5 5 0 1 0 0 10 5 5 0 0 0 0-10z"/></symbol>
<symbol id="shape-bar" viewBox="0 0 16 16"><path d="M1 1h14v14H1z"/><path class="cut" d="M4.5 8h7"/></symbol>
<symbol id="shape-hand" viewBox="0 0 16 16"><path d="M2 1.5h12v13H2zM4 3.5v9h8v-9z" fill-rule="evenodd"/><path d="M5 8.2l2.2 2.2L11.4 5" fill="none" stroke="currentColor" stroke-width="1.8"/></symbol>
</svg>`);
