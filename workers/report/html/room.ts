import type { Finding } from '../../../jobs/verdict.js';
import { type Still, stillKey } from '../stills/still.js';
import type { ReportDocuments } from './load-documents.js';
import type { Html } from './markup.js';
import { askedOf } from './media-pages.js';
import { renderOverTime } from './plots-over-time.js';
import type { ReportFile } from './standing.js';

/** Characters of plots in a batch's report: some twenty files' worth. */
const PLOTS = 1_500_000;
/** Characters of stills in a batch's report. */
const STILLS = 1_200_000;
/** Stills of one finding; the file's own page shows all. */
const STILLS_EACH = 1;

/**
 * What is left of a batch report's size for the things that weigh. The files that come first take it; the others'
 * are on their own pages, to which each links.
 */
export class Room {
  readonly #documents: ReportDocuments;
  #plots = PLOTS;
  #stills = STILLS;

  constructor(documents: ReportDocuments) {
    this.#documents = documents;
  }

  /** The plots over time of a file; null where there are none, or no room for them. */
  overTime(file: ReportFile): Html | null {
    if (file.measurement === null || this.#plots <= 0) return null;
    const plots = renderOverTime(
      file.measurement,
      askedOf([file], this.#documents),
      file.verdict?.findings ?? [],
    );
    if (plots === null || plots.markup.length > this.#plots) return null;
    this.#plots -= plots.markup.length;
    return plots;
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
