import type { Still } from '../../stills/still.js';
import { type HtmlPart, html, name } from '../markup.js';

/** A picture that is in the page itself; nothing else is ever put into one. */
const PICTURE = /^data:image\/(?:png|jpeg|webp);base64,[A-Za-z0-9+/]+=*$/;

/** The places a finding speaks of, as pictures. */
export function renderStills(stills: readonly Still[]): HtmlPart {
  const shown = stills.filter((still) => PICTURE.test(still.dataUri));
  if (shown.length === 0) return null;
  return html`<div class="stills">${shown.map((still) => {
    const place =
      still.timecode === null ? `frame ${still.frame}` : `${still.timecode} (frame ${still.frame})`;
    return html`<figure class="still"><img src="${still.dataUri}" alt="${`Still of ${place}. ${still.caption}`}"><figcaption><b>${name(place)}</b> ${name(still.caption)}</figcaption></figure>`;
  })}</div>`;
}
