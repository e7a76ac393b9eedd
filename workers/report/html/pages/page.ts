import { BADGE_SHAPES } from '../badge.js';
import { type Html, html, trusted } from '../markup.js';
import { PLOT_STYLE } from '../plots/style-plots.js';
import { STYLE } from '../style.js';

/**
 * The frame of every report page: no script, no request to anywhere, in the scheme the reader prefers.
 *
 * @param skipTo where a keyboard reader lands who skips the heading, in words
 */
export function renderPage(title: string, skipTo: string, body: Html): string {
  return html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<meta name="referrer" content="no-referrer">
<title>${title}</title>
<style>${trusted(STYLE)}${trusted(PLOT_STYLE)}</style>
</head>
<body>
${BADGE_SHAPES}
<a class="skip" href="#main">${skipTo}</a>
${body}
</body>
</html>
`.markup;
}
