import type { Finding } from '../../../jobs/verdict/verdict.js';
import { type Still, stillKey } from '../stills/still.js';
import type { ReportFile } from '../summary/standing.js';
import type { Html } from './markup.js';
import type { ReportDocuments } from './pages/load-documents.js';
import { askedBy } from './plots/plot-limits.js';
import { renderOverTime } from './plots/plots-over-time.js';

/** Characters of plots in a batch's report: some dozen files' worth. */
const PLOTS = 700_000;
/** Characters of stills in a batch's report. */
const STILLS = 800_000;
/** Stills of one finding; the file's own page shows all. */
const STILLS_EACH = 1;

/**
 * How many characters of plots and stills a batch's report may still take. The files that come first use
 * them; the others show theirs on their own pages, to which each links.
 */
export class SizeBudget {
  readonly #documents: ReportDocuments;
  #plots = PLOTS;
  #stills = STILLS;

  constructor(documents: ReportDocuments) {
    this.#documents = documents;
  }

  /**
   * The plots over time that help to understand what is wrong with a file; null where it has none, or nothing
   * is left.
   */
  overTime(file: ReportFile): Html | null {
    if (file.measurement === null || this.#plots <= 0) return null;
    const findings = file.verdict?.findings ?? [];
    const plots = renderOverTime(file.measurement, askedBy([file]), findings, 'troubled');
    if (plots === null) return null;
    // The first one that does not fit is the last one drawn: drawing takes most of the time of a report.
    this.#plots -= plots.markup.length;
    return this.#plots < 0 ? null : plots;
  }

  stills({ verdict }: ReportFile, finding: Finding): readonly Still[] {
    if (verdict === null) return [];
    const all = this.#documents.stills.get(stillKey(verdict.file, verdict.target, finding.requirement)) ?? [];
    const shown = all.slice(0, STILLS_EACH);
    const weight = shown.reduce((sum, still) => sum + still.dataUri.length, 0);
    if (weight > this.#stills) return [];
    this.#stills -= weight;
    return shown;
  }
}
