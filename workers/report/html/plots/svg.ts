import type { EChartsOption } from 'echarts';
import { CustomChart, LineChart, ScatterChart } from 'echarts/charts';
import { GridComponent, MarkAreaComponent, MarkLineComponent } from 'echarts/components';
import { init, use } from 'echarts/core';
import { SVGRenderer } from 'echarts/renderers';

/** What the charts here are drawn with: all of the library takes longer to load than they take to draw. */
use([CustomChart, LineChart, ScatterChart, GridComponent, MarkAreaComponent, MarkLineComponent, SVGRenderer]);

/** Colours are the page's own variables, so a chart follows dark mode and print like the text around it. */
export const INK = 'var(--ink)';
export const SOFT = 'var(--soft)';
export const RULE = 'var(--rule)';
export const BAR = 'var(--bar)';
export const FAIL = 'var(--fail)';
export const WARN = 'var(--warn)';
export const CARD = 'var(--card)';

/** Narrow enough for a phone at its natural size; two or three stand side by side on a desk. */
export const CHART_WIDTH = 340;
/** The width of a desk's page: text in it would be too small on a phone, which gets a drawing of its own. */
export const WIDE_WIDTH = 940;

/** Draws a chart as SVG text, without a browser and without script. Deterministic. */
export function drawSvg(option: EChartsOption, width: number, height: number): string {
  const instance = init(null, null, { renderer: 'svg', ssr: true, width, height });
  try {
    instance.setOption({ animation: false, textStyle: { fontFamily: 'inherit' }, ...option });
    return strip(instance.renderToSVGString());
  } finally {
    instance.dispose();
  }
}

/**
 * Takes out what only a script would use, namespaces HTML does not need (the page names no address at all),
 * and decimals nobody sees: a tenth of a pixel is enough, and curves are most of a report's bytes.
 */
function strip(svg: string): string {
  return svg
    .replace(/<style\s*>[\s\S]*?<\/style>/g, '')
    .replace(/ (?:ecmeta_[a-z_]+|class|pointer-events|xml:space)="[^"]*"/g, '')
    .replace(/ (?:xmlns(?::xlink)?|version|baseProfile)="[^"]*"/g, '')
    .replace('<svg ', `<svg aria-hidden="true" focusable="false" `)
    .replaceAll('font-family:inherit;', '')
    .replace(/ d="([^"]*)"/g, (_, path: string) => ` d="${path.replace(/-?\d+\.\d{2,}/g, tenths)}"`);
}

function tenths(number: string): string {
  return String(Math.round(Number(number) * 10) / 10);
}
