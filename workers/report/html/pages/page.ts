import { BADGE_SHAPES } from '../badge.js';
import { type Html, html, trusted } from '../markup.js';
import { PLOT_STYLE } from '../plots/style-plots.js';
import { RESULTS_SCRIPT, RESULTS_SCRIPT_HASH } from '../results-script.js';
import { STYLE } from '../style.js';
import { TABLE_STYLE } from '../style-results.js';

export interface Page {
  readonly title: string;
  /** Where a keyboard reader lands who skips the heading, in words. */
  readonly skipTo: string;
  /** Rules of this page alone; of our own making, nothing from outside is in them. */
  readonly style?: string;
  /** Whether the table of results may be searched and sorted. */
  readonly withScript?: boolean;
  readonly body: Html;
}

/**
 * The frame of every report page: no request to anywhere, in the scheme the reader prefers. The one script
 * there is stands in the page, and the policy names its hash: no other runs.
 */
export function renderPage({ title, skipTo, style = '', withScript = false, body }: Page): string {
  const script = withScript ? ` script-src '${RESULTS_SCRIPT_HASH}';` : '';
  return html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${trusted(`default-src 'none'; style-src 'unsafe-inline'; img-src data:;${script} base-uri 'none'; form-action 'none'`)}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<meta name="referrer" content="no-referrer">
<title>${title}</title>
<style>${trusted(STYLE)}${trusted(TABLE_STYLE)}${trusted(PLOT_STYLE)}${trusted(style)}</style>
</head>
<body>
${BADGE_SHAPES}
<a class="skip" href="#main">${skipTo}</a>
${body}
${withScript && html`<script>${trusted(RESULTS_SCRIPT)}</script>`}
</body>
</html>
`.markup;
}
