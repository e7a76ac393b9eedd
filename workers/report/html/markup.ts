/**
 * HTML written by a tagged template that escapes whatever it is given: file names, metadata and decoder
 * messages are hostile input, and the only way to put markup into a page is the template itself.
 */

const SAFE = Symbol('markup made by html`...`');

/** Markup that may stand in a page as it is. Only `html` and `trusted` make it. */
export interface Html {
  readonly [SAFE]: true;
  readonly markup: string;
}

/** What a template takes. Text is escaped; `null`, `undefined` and `false` leave nothing. */
export type HtmlPart = Html | string | number | null | undefined | false | readonly HtmlPart[];

/**
 * Markup of our own making that no input has touched, such as the style sheet or a chart already made safe.
 */
export function trusted(markup: string): Html {
  return { [SAFE]: true, markup };
}

export function html(strings: TemplateStringsArray, ...parts: readonly HtmlPart[]): Html {
  let markup = strings[0] ?? '';
  parts.forEach((part, index) => {
    markup += render(part) + (strings[index + 1] ?? '');
  });
  return trusted(markup);
}

function render(part: HtmlPart): string {
  if (part === null || part === undefined || part === false) return '';
  if (typeof part === 'number') return String(part);
  if (typeof part === 'string') return escapeText(part);
  if (isHtml(part)) return part.markup;
  return part.map(render).join('');
}

function isHtml(part: Html | readonly HtmlPart[]): part is Html {
  return SAFE in part;
}

const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
  '`': '&#96;',
};

/**
 * Characters nobody sees but which change what is seen: controls, marks that turn the reading direction,
 * zero-width characters, line separators, halves of a broken surrogate pair, and the invisible tag
 * characters. Joiners (200C, 200D) stay: Persian, Hindi and many emoji are written with them.
 */
const UNSEEN =
  // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what this is about
  /[\u0000-\u001f\u007f-\u009f\u00ad\u061c\u180e\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb]|[\u{e0000}-\u{e007f}]|\p{Surrogate}/gu;

/** Text with its unseen characters written out, as `[U+202E]`. For attributes, charts and commands. */
export function visibleText(text: string): string {
  return text.replace(UNSEEN, (character) => `[${codePoint(character)}]`);
}

/** Text for element content and quoted attributes. Unseen characters are written out. */
export function escapeText(text: string): string {
  return visibleText(text).replace(/[&<>"'`]/g, (character) => ENTITIES[character] ?? '');
}

/** A name from outside: kept from turning the text around it, with unseen characters marked as such. */
export function name(text: string): Html {
  const parts: HtmlPart[] = [];
  let end = 0;
  for (const match of text.matchAll(UNSEEN)) {
    parts.push(
      breakable(text.slice(end, match.index)),
      html`<span class="unseen">${codePoint(match[0])}</span>`,
    );
    end = match.index + match[0].length;
  }
  parts.push(breakable(text.slice(end)));
  return html`<bdi>${parts}</bdi>`;
}

/** Long paths may break after a separator; units (cd/m², Mbit/s) do not. */
function breakable(text: string): Html {
  return trusted(escapeText(text).replace(/(?<!\b(?:cd|Mbit))\/|_/g, '$&<wbr>'));
}

function codePoint(character: string): string {
  return `U+${(character.codePointAt(0) ?? 0).toString(16).toUpperCase().padStart(4, '0')}`;
}
