/**
 * Escapes text for an ffmpeg filter graph.
 *
 * A filtergraph is unescaped twice before a filter sees an option's value: once as graph text, where `[ ] ,
 * ;` build the graph, and once as an option list, where `:` separates the options. Quote and backslash are
 * special at both levels, and both levels strip white space at the ends of a token unless it is escaped. No
 * shell is involved anywhere: the graph is one process argument.
 *
 * Source: ffmpeg-filters manual, "Notes on filtergraph escaping"; ffmpeg-utils manual, "Quoting and
 * escaping".
 */
const OPTION_LEVEL = /[\\':\s]/g;
const GRAPH_LEVEL = /[\\'[\],;\s]/g;

/**
 * Escapes one option value for a filtergraph given as a single process argument. Any text; NUL is refused.
 */
export function escapeFilterValue(value: string): string {
  if (value.includes('\0')) throw new RangeError('a NUL character cannot be passed to ffmpeg');
  return value.replace(OPTION_LEVEL, '\\$&').replace(GRAPH_LEVEL, '\\$&');
}

/**
 * Escapes text for drawtext's `text` option with `expansion=normal`, so that it is drawn literally: drawtext
 * itself expands `%{...}` and reads a backslash as an escape, before (and apart from) the two levels above.
 * Source: ffmpeg-filters manual, drawtext, "Text expansion".
 */
export function escapeDrawtext(text: string): string {
  return escapeFilterValue(text.replace(/[\\%]/g, '\\$&'));
}
