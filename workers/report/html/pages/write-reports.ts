import type { Batch } from '../../../../jobs/plan/batch.js';
import { below, REPORT_FILE } from '../../../batch/folder.js';
import { writeWhole } from '../../../batch/write-whole.js';
import { reportFiles } from '../../summary/standing.js';
import type { ReportDocuments } from './load-documents.js';
import { hasPages, mediaPages } from './media-pages.js';
import { renderMaster } from './render-master.js';
import { renderReport } from './render-report.js';

/**
 * Writes `report.html` and, beside each measurement of a finished batch, the page of its file. The pages
 * first: the report never links to one that is not there yet.
 *
 * @throws GoodgateError `disk-full`, `cannot-write`
 */
export async function writeReports(out: string, batch: Batch, documents: ReportDocuments): Promise<void> {
  const files = reportFiles(batch, documents);
  for (const page of hasPages(batch) ? mediaPages(batch, files, documents) : []) {
    await writeWhole(below(out, page.path), renderMaster(page, batch, documents));
  }
  await writeWhole(below(out, REPORT_FILE), renderReport(batch, documents));
}
