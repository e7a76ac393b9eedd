import { extname } from 'node:path';
import { doubtAbout, reasonFor } from '../doubt.js';
import { defineRequirement } from '../requirement.js';
import { hold, met, missed, unmeasured } from '../ruling.js';

/**
 * Extensions by the container they promise, and the major brands of ISO/IEC 14496-12 that keep the promise
 * (MP4: from memory).
 */
const PROMISES: Readonly<Record<string, { readonly demuxer: string; readonly brands?: RegExp }>> = {
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
  title: 'File type as its name says',
  why: 'Systems choose how to read a file by its name or its brand.',
  expected: 'a file of the type its name promises',
  advice: 'Name the file after its container, or wrap the streams again.',
  rule: (_, measurement) => {
    const extension = extname(measurement.file.path).toLowerCase();
    const promise = Object.hasOwn(PROMISES, extension) ? PROMISES[extension] : undefined;
    if (promise === undefined) {
      return unmeasured(`the name ends in "${extension}", which promises no container`);
    }
    const found = measurement.container.format.split(',')[0] ?? '';
    if (found !== promise.demuxer) return missed(`${extension}, but it is ${found}`);
    if (promise.brands === undefined) return met(extension);
    if (measurement.wrapper === null || doubtAbout(measurement, 'wrapper.brand') !== null) {
      return unmeasured(reasonFor(measurement, 'brand', 'wrapper.brand'));
    }
    const { brand } = measurement.wrapper;
    // QuickTime files older than brands have none; an MP4 without is no MP4 (ISO/IEC 14496-12, 4.3).
    if (brand === null) return hold(extension === '.mov' || extension === '.qt', `${extension}, no brand`);
    return hold(promise.brands.test(brand), `${extension}, brand "${brand.trim()}"`);
  },
});
