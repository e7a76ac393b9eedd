import { extname } from 'node:path';
import { doubtAbout, reasonFor } from '../doubt.js';
import { defineRequirement } from '../requirement.js';
import { met, metIf, missed, unmeasured } from '../ruling.js';

/**
 * The container each extension stands for, and the major brands of ISO/IEC 14496-12 that match it (MP4: from
 * memory).
 */
const CONTAINERS_BY_EXTENSION: Readonly<
  Record<string, { readonly demuxer: string; readonly brands?: RegExp }>
> = {
  '.mov': { demuxer: 'mov', brands: /^qt {2}$/ },
  '.qt': { demuxer: 'mov', brands: /^qt {2}$/ },
  '.mp4': { demuxer: 'mov', brands: /^(?:iso[0-9a-z]|mp4[12]|avc1|hvc1|dash|cmf[a-z0-9]|msnv|M4V |M4VH)$/ },
  '.m4v': { demuxer: 'mov', brands: /^(?:M4V |M4VH|mp4[12]|iso[0-9a-z])$/ },
  '.mkv': { demuxer: 'matroska' },
  '.mxf': { demuxer: 'mxf' },
  '.wav': { demuxer: 'wav' },
  '.avi': { demuxer: 'avi' },
};

export const requirement = defineRequirement('file-type', {
  title: 'File type and extension',
  why: 'Systems choose a reader by the extension or the brand of a file.',
  expected: 'a file of the type its extension stands for',
  advice: 'Name the file after its container, or wrap the streams again.',
  rule: (_, measurement) => {
    const extension = extname(measurement.file.path).toLowerCase();
    const type = Object.hasOwn(CONTAINERS_BY_EXTENSION, extension)
      ? CONTAINERS_BY_EXTENSION[extension]
      : undefined;
    if (type === undefined) {
      return unmeasured(`the name ends in "${extension}", which stands for no known container`);
    }
    const found = measurement.container.format.split(',')[0] ?? '';
    if (found !== type.demuxer) return missed(`${extension}, but it is ${found}`);
    if (type.brands === undefined) return met(extension);
    if (measurement.wrapper === null || doubtAbout(measurement, 'wrapper.brand') !== null) {
      return unmeasured(reasonFor(measurement, 'brand', 'wrapper.brand'));
    }
    const { brand } = measurement.wrapper;
    // QuickTime files older than brands have none; an MP4 without is no MP4 (ISO/IEC 14496-12, 4.3).
    if (brand === null) return metIf(extension === '.mov' || extension === '.qt', `${extension}, no brand`);
    return metIf(type.brands.test(brand), `${extension}, brand "${brand.trim()}"`);
  },
});
