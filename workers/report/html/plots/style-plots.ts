/**
 * The part of the style sheet for plots, histograms and stills. Drawings take their colours from the palette.
 */
export const PLOT_STYLE = `
.problems{list-style:none;margin:1.2rem 0 0;padding:0;max-width:88ch;display:grid;grid-template-columns:max-content 1fr;gap:.6rem .9rem}
.problems li{display:grid;grid-column:1/-1;grid-template-columns:subgrid;align-items:baseline;font-variant-numeric:tabular-nums;break-inside:avoid}
.problems .badge{justify-self:start}
.problems .hint{display:block}
.waived{background:var(--plain-wash);padding:.55rem .8rem;max-width:70ch}
.sheet{background:var(--card);box-shadow:0 0 0 1px var(--rule);margin-block:1rem;padding:1rem clamp(.9rem,3vw,1.5rem)}
.sheet>.plots,.sheet>.charts,.sheet .scale>.charts{margin-block-start:.3rem}
.plots{margin-block:1.1rem .4rem}
.plot{margin:0 0 1.4rem}
.plot svg,.charts svg,.plot .wide,.plot .narrow{display:block}
.plot div>svg{width:100%;height:auto}
.plot text{font-family:inherit}
.plot .narrow{display:none}
.note{font-size:.8125rem;line-height:1.4;color:var(--soft);margin:.2rem 0 0;max-width:80ch}
figcaption b{color:var(--ink);font-size:.875rem}
.keys{display:inline-flex;flex-wrap:wrap;gap:.1rem 1.1rem;margin-inline-start:1rem;vertical-align:bottom}
.keys>span{display:inline-flex;align-items:center;gap:.4rem;white-space:nowrap}
.plot .keys svg,.chart .keys svg{width:26px;height:8px;flex:none}
.histograms>input{appearance:none;position:absolute;opacity:0}
.histograms>label{display:inline-block;cursor:pointer;padding:.3rem .8rem;margin-inline-end:.35rem;border:1px solid var(--soft);border-radius:.25rem;font-size:.875rem}
.histograms>.label{margin-inline-end:.6rem}
.histograms>input:checked+label{background:var(--ink);color:var(--paper);border-color:var(--ink);font-weight:700}
.histograms>input:focus-visible+label{outline:3px solid var(--link);outline-offset:2px}
.scale{display:none}
${['stops', 'nits', 'percent', 'code']
  .map((id) => `.histograms>input[value=${id}]:checked~.scale.${id}`)
  .join(',')}{display:block}
.flat{margin-block-end:1.4rem}
.flat b{color:var(--ink)}
.stills{display:flex;flex-wrap:wrap;gap:.75rem 1.25rem;margin-block:.8rem;align-content:flex-start}
@media screen and (min-width:70rem){.finding:has(>.stills){display:grid;grid-template-columns:minmax(0,1fr) 28rem;gap:2rem}.finding>.stills{margin-block-start:.2rem}}
.still{margin:0;max-width:min(30rem,100%)}
.still img{display:block;max-width:100%;height:auto;outline:1px solid var(--rule)}
@media screen and (max-width:46rem){.plot .wide{display:none}.plot .narrow{display:block}.keys{margin-inline-start:0;display:flex}}
@media (max-width:34rem){.problems,.problems li{display:block}.problems li{margin-block-end:.7rem}.problems .badge{margin-block-end:.15rem}.sheet{padding-inline:.9rem}}
@page{margin:14mm}
@media print{
/* The drawing made for a desk would be read through a glass on paper: the other one, two side by side. */
.plots{display:flex;flex-wrap:wrap;gap:0 1rem}
.plots>.plot{width:calc(50% - .5rem)}
.plots>.note{flex-basis:100%}
.plot .wide{display:none}
.plot .narrow{display:block}
.keys{margin-inline-start:0;display:flex}
.finding:has(>.stills){display:grid;grid-template-columns:minmax(0,1fr) 68mm;gap:5mm}
.finding>.stills{margin-block:0}
article.file:not(.short){padding-block-start:0}
article.file>header{padding-block-start:.8rem}
.sheet{box-shadow:none;padding:0}
.histograms{break-inside:avoid}
.plot,.still,.scale{break-inside:avoid}
.histograms>input:not(:checked)+label{display:none}
.histograms>input:checked+label{background:none;color:var(--ink)}
}
`;
