import type { FrameStudy, PlaneStudy } from './frame-study.js';
import type { PicturePlan } from './picture-kernel.js';

/** Every study of a picture, by the name its columns are found under. */
export function frameStudies(
  _plan: PicturePlan,
): readonly { readonly name: string; readonly study: FrameStudy<string> }[] {
  return [];
}

export function planeStudies(
  _plan: PicturePlan,
): readonly { readonly name: string; readonly study: PlaneStudy }[] {
  return [];
}
