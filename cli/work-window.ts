/**
 * Hours of the day a worker may take clips in, local time. Minutes from midnight; `from` > `to` spans
 * midnight.
 */
export interface WorkWindow {
  readonly from: number;
  readonly to: number;
}

function minutes(text: string): number | null {
  const match = /^(\d{1,2}):(\d{2})$/.exec(text);
  if (!match) return null;
  const hour = Number(match[1]);
  const minute = Number(match[2]);
  return hour > 23 || minute > 59 ? null : hour * 60 + minute;
}

/** Reads `20:00-07:00`. Null when it is not a window, or an empty one. */
export function parseWindow(text: string): WorkWindow | null {
  const [first, second, ...rest] = text.split('-');
  const from = minutes(first ?? '');
  const to = minutes(second ?? '');
  return rest.length > 0 || from === null || to === null || from === to ? null : { from, to };
}

/** `from` is inside the window, `to` is not. */
export function isOpen(window: WorkWindow, now: Date): boolean {
  const at = now.getHours() * 60 + now.getMinutes();
  return window.from < window.to ? at >= window.from && at < window.to : at >= window.from || at < window.to;
}
