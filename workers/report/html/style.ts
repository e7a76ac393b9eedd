/**
 * The report's one style sheet. Every text colour has at least 4.5:1 against its ground in both schemes (a
 * test computes it); tone is always doubled by a word and a shape.
 */
export const PALETTES = {
  light: {
    paper: '#f4f2ec',
    card: '#ffffff',
    ink: '#1c2126',
    soft: '#545c64',
    rule: '#d8d4ca',
    link: '#0d4f8b',
    bar: '#2f6690',
    fail: '#a3161b',
    'fail-wash': '#fbe9e7',
    warn: '#7c4a03',
    'warn-wash': '#fbf0d9',
    unmeasured: '#54409a',
    'unmeasured-wash': '#eeeafb',
    pass: '#1b5f3c',
    'pass-wash': '#e4f2e8',
    plain: '#4a525a',
    'plain-wash': '#eceae4',
    red: '#b3261e',
    green: '#1f7a3d',
    blue: '#2457b3',
  },
  dark: {
    paper: '#14171b',
    card: '#1d2126',
    ink: '#ece9e2',
    soft: '#a9b0b7',
    rule: '#3a4149',
    link: '#8cc2f2',
    bar: '#7db4de',
    fail: '#ff9d94',
    'fail-wash': '#3c1d1d',
    warn: '#f0bd62',
    'warn-wash': '#382b14',
    unmeasured: '#c3b2ff',
    'unmeasured-wash': '#2a2444',
    pass: '#86d3a5',
    'pass-wash': '#173224',
    plain: '#b9c0c7',
    'plain-wash': '#2a2f35',
    red: '#ff8a80',
    green: '#7bd88f',
    blue: '#8ab4ff',
  },
} as const;

function variables(palette: Readonly<Record<string, string>>): string {
  return Object.entries(palette)
    .map(([name, value]) => `--${name}:${value}`)
    .join(';');
}

const TONES = ['fail', 'warn', 'unmeasured', 'pass', 'plain'] as const;

export const STYLE = `
:root{color-scheme:light dark;${variables(PALETTES.light)}}
@media (prefers-color-scheme:dark){:root{${variables(PALETTES.dark)}}}
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%;text-size-adjust:100%}
body{margin:0;background:var(--paper);color:var(--ink);font:16px/1.5 system-ui,"Noto Sans","DejaVu Sans",sans-serif;overflow-wrap:break-word}
.store{position:absolute}
.top,nav,main,footer{max-width:68rem;margin-inline:auto;padding-inline:clamp(1rem,4vw,2.5rem)}
.top{padding-block:clamp(1.5rem,5vw,3.5rem) 1rem}
h1,h2,h3,h4,h5{line-height:1.25;margin:0}
h1,h2{text-wrap:balance}
h1{font-size:1.15rem;font-weight:600}
h2{font-size:1.5rem;margin-block:2.75rem .35rem;padding-block-start:.9rem;border-block-start:3px solid var(--ink)}
h3{font-size:1.05rem}
h4,h5{font-size:1rem}
p{margin:.5rem 0}
a{color:var(--link)}
a:focus-visible,summary:focus-visible{outline:3px solid var(--link);outline-offset:2px}
.skip{position:absolute;inset-inline-start:-99rem}
.skip:focus{inset-inline-start:1rem;inset-block-start:.5rem;background:var(--card);padding:.5rem 1rem}
.kicker,.label,dt,thead th{color:var(--soft);font-size:.8125rem;font-weight:600;letter-spacing:.01em}
.kicker{margin:0}
.headline{font-size:clamp(1.9rem,6vw,3.1rem);line-height:1.1;font-weight:700;letter-spacing:-.02em;margin:.8rem 0 .6rem;text-wrap:balance;max-width:32ch}
.when,.about,.source,.lead,.hint{color:var(--soft)}
.when{font-variant-numeric:tabular-nums}
.tally{display:flex;gap:3px;height:.9rem;margin-block:1.4rem .8rem}
.tally span{min-width:6px;background:var(--plain)}
.tally .fail,.tally .not-done,.tally .unreadable,.tally .refused{background:repeating-linear-gradient(45deg,var(--fail) 0 5px,var(--fail-wash) 5px 7px)}
.tally .not-done,.tally .unreadable,.tally .refused{background:repeating-linear-gradient(0deg,var(--fail) 0 3px,var(--fail-wash) 3px 5px)}
.tally .unmeasured{background:repeating-linear-gradient(135deg,var(--unmeasured) 0 4px,var(--unmeasured-wash) 4px 10px)}
.tally .warn{background:repeating-linear-gradient(90deg,var(--warn) 0 6px,var(--warn-wash) 6px 8px)}
.tally .pass{background:var(--pass)}
.tally .waiting,.tally .unjudged{background:var(--plain-wash);box-shadow:inset 0 0 0 1px var(--plain)}
.counts{display:flex;flex-wrap:wrap;gap:.5rem 1.5rem;list-style:none;margin:0;padding:0;font-variant-numeric:tabular-nums}
nav ul{display:flex;flex-wrap:wrap;gap:.25rem 1.5rem;list-style:none;margin:0;padding:.75rem 0;border-block:1px solid var(--rule)}
nav a{display:inline-block;padding:.25rem 0}
.n{font-variant-numeric:tabular-nums;color:var(--soft)}
.badge{display:inline-flex;align-items:center;gap:.4em;padding:.1em .6em .1em .45em;border-radius:.25rem;font-size:.875rem;font-weight:700;line-height:1.45;white-space:nowrap;vertical-align:baseline}
.badge .shape{width:.95em;height:.95em;fill:currentColor;flex:none}
.cut{fill:none;stroke:var(--card);stroke-width:2;stroke-linecap:round;stroke-linejoin:round}
${TONES.map((tone) => `.tone-${tone}{color:var(--${tone});background:var(--${tone}-wash)}`).join('\n')}
.file{background:var(--card);box-shadow:0 0 0 1px var(--rule);border-inline-start:6px solid var(--plain);margin-block:1rem;padding:1rem clamp(.9rem,3vw,1.5rem);scroll-margin-block-start:1rem}
@media screen{.many>.file,.unprinted{content-visibility:auto;contain-intrinsic-size:auto 70rem}}
.file.fail{border-inline-start-color:var(--fail)}
.file.unmeasured{border-inline-start:6px double var(--unmeasured)}
.file.warn{border-inline-start:6px dashed var(--warn)}
.file.pass{border-inline-start:6px solid var(--pass)}
.file h3{display:inline;font-weight:650}
.file h3 .badge{margin-inline-end:.35rem}
summary{cursor:pointer;padding-block:.2rem}
.about{font-size:.875rem;margin:.35rem 0 0}
.about span+span::before{content:" · ";white-space:pre}
.finding.accepted{border-inline-start:4px dotted var(--plain);padding-inline-start:.9rem;color:var(--soft)}
.finding{border-block-start:1px solid var(--rule);margin-block-start:1rem;padding-block-start:.9rem}
.file>.finding:first-child{border:0;margin:0;padding:0}
.asked{display:flex;flex-wrap:wrap;gap:.4rem 2.25rem;margin:.6rem 0}
.asked div{min-width:9rem;max-width:100%}
.asked dt{margin:0}
.asked dd{margin:0;font-variant-numeric:tabular-nums}
.where{flex-basis:100%}
.places{list-style:none;margin:0;padding:0}
.places:has(li+li){columns:24rem auto;column-gap:2rem}
.why,.advice{max-width:70ch}
.advice{background:var(--plain-wash);padding:.55rem .8rem}
.source{font-size:.8125rem}
.notice{background:var(--unmeasured-wash);color:var(--unmeasured);padding:.55rem .8rem}
.losses{margin-block-start:1rem}
.losses ul{margin:.25rem 0;padding-inline-start:1.2rem;max-width:75ch}
.charts{display:flex;flex-wrap:wrap;gap:.75rem 1.75rem;margin-block:1.1rem .4rem;align-items:flex-start}
.chart{margin:0;flex:1 1 290px;max-width:min(340px,100%)}
.chart svg{display:block;width:100%;height:auto}
.chart text{font-family:inherit}
figcaption{font-size:.8125rem;line-height:1.4;color:var(--soft)}
details.met,details.all{margin-block:.6rem}
.scroll{overflow-x:auto}
table{border-collapse:collapse;width:100%;font-size:.875rem;font-variant-numeric:tabular-nums}
th,td{text-align:start;vertical-align:top;padding:.3rem 1rem .3rem 0;border-block-end:1px solid var(--rule)}
tbody th{font-weight:500}
.figures{max-width:52rem}
.figures tbody th{width:34%;min-width:9rem;color:var(--soft)}
.figures .group{padding-block-start:1rem;color:var(--ink);font-weight:700}
.clips{min-width:50rem}
.clips td:last-child{white-space:nowrap}
.clips th[scope=row]{max-width:18rem}
.own{list-style:none;margin:0;padding:0}
.own li{margin-block-end:.25rem}
.own a{display:flex;gap:.45em;align-items:baseline;text-decoration:none;color:var(--ink)}
@media screen and (min-width:34rem){.own a>span:last-child{white-space:nowrap}}
.own a:hover{text-decoration:underline}
.events tbody th,.events td:nth-child(2){white-space:nowrap}
.log{margin:0;padding-inline-start:1rem}
code,.log{font-family:ui-monospace,"Cascadia Mono","SF Mono",Menlo,"DejaVu Sans Mono",monospace;font-size:.8125rem}
code{overflow-wrap:anywhere}
.actions p{margin:.25rem 0}
.actions code{user-select:all}
.repeat{font-size:.875rem;margin-block-start:1rem}
.unseen{font-family:ui-monospace,Menlo,"DejaVu Sans Mono",monospace;font-size:.75em;border:1px solid currentColor;border-radius:.2rem;padding:0 .25em;margin-inline:.1em;white-space:nowrap}
.cautions li,.standards li{max-width:75ch;margin-block:.3rem}
footer{padding-block:3rem 2rem;color:var(--soft);font-size:.8125rem}
@media screen and (max-width:34rem){
.stack,.stack tbody,.stack tr,.stack th,.stack td{display:block;min-width:0;max-width:none}
.stack thead{position:absolute;inset-inline-start:-99rem}
.stack tr{border-block-end:1px solid var(--rule);padding-block:.5rem}
.stack tbody th,.stack td,.events td:nth-child(2),.clips td:last-child{border:0;padding:.1rem 0;white-space:normal}
.stack tbody th{font-weight:650}
.stack td[data-label]::before{content:attr(data-label) ": ";color:var(--soft)}
.stack td:empty{display:none}
}
@media (max-width:34rem){.file{padding-inline:.9rem}.file h3{display:block}.file h3 .badge{display:flex;width:max-content;margin-block-end:.35rem}.asked div{flex-basis:100%}.figures tbody th{min-width:7rem}}
@media print{
:root{${variables(PALETTES.light)};--paper:#ffffff}
body{font-size:10pt}
nav,.skip{display:none}
.top,main,footer{max-width:none;padding-inline:0}
.headline{font-size:24pt}
h1,h2,h3,h4,h5,.label{break-after:avoid}
.finding,.chart,.losses,tr{break-inside:avoid}
.lead,.file>header,summary{break-after:avoid}
.file>header,summary{break-inside:avoid}
details.all{display:none}
.clips th[scope=row]{max-width:10rem}
.scroll{overflow:visible}
.clips{min-width:0}
a{color:inherit;text-decoration:none}
.badge,.tally span,.advice{print-color-adjust:exact;-webkit-print-color-adjust:exact}
.charts{gap:.5rem 1rem}
.chart{width:280px}
}
`;
