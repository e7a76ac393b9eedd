/** The part of the style sheet for causes, and for the table of results with what it is chosen by. */
export const TABLE_STYLE = `
.problems p{margin:.1rem 0;max-width:88ch}
.problems .accepted b{font-weight:400}
.problems .expected{color:var(--soft)}
.problems ul{list-style:none;margin:0;padding-inline-start:1rem}
.problems .whose{margin:.15rem 0}
.problems .hint{font-size:.875em}
.choices{display:flex;flex-wrap:wrap;gap:.6rem 1.5rem;margin-block:.8rem}
.choices label{color:var(--soft);font-size:.875rem;font-weight:600}
.choices label[hidden]{display:none}
.choices select,.choices input{font:inherit;font-weight:400;color:var(--ink);background:var(--card);border:1px solid var(--soft);border-radius:.25rem;padding:.25rem .4rem;max-width:min(22rem,90vw)}
.choices select:focus-visible,.choices input:focus-visible,thead button:focus-visible{outline:3px solid var(--link);outline-offset:2px}
.rows tbody tr{counter-increment:shown}
.results{counter-reset:shown}
.rows .unfound{display:none}
.shown::before{content:counter(shown)}
.rows p{margin:0 0 .15rem}
.rows th[scope=row]{width:30%;min-width:12rem}
.rows td:nth-child(5),.rows td:nth-child(6){white-space:nowrap}
thead button{font:inherit;color:inherit;background:none;border:0;padding:0;cursor:pointer;text-align:start}
thead button::after{content:" \\2195";color:var(--soft)}
[aria-sort=ascending] button::after{content:" \\2191";color:var(--ink)}
[aria-sort=descending] button::after{content:" \\2193";color:var(--ink)}
@media screen and (max-width:34rem){.rows td:nth-child(5),.rows td:nth-child(6){white-space:normal}.rows td:empty{display:none}}
@media print{
.choices,.shown,.unprinted{display:none}
.rows,.clips{font-size:8pt}
.rows .badge,.clips .badge{font-size:8pt;padding-block:0}
.rows td,.rows th{padding-block:1.5pt}
.rows{table-layout:fixed;line-height:1.25}
.rows th:nth-child(1){width:17%}
.rows th:nth-child(2),.rows th[scope=row]{width:34%;min-width:0}
.rows th:nth-child(3){width:15%}
.rows :is(th,td):nth-child(n+5){display:none}
.rows .badge{white-space:normal}
.many .charts,.many .plots,.many .stills{display:none}
thead button::after{content:""}
thead{display:table-header-group}
}
`;
