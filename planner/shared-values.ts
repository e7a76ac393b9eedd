import type { PlannedOutput } from '../jobs/plan/plan.js';

/** More than any batch has of one kind; what comes after is not shared. */
const MOST = 10_000;

/**
 * Equal values are held once: the losses and recipes of a hundred thousand clips are a few dozen different
 * ones. Nobody changes what is planned.
 */
export class SharedValues {
  private readonly known = new Map<string, unknown>();

  /** Parts of a recipe are the same for many clips, where the whole has a timecode of its own. */
  inOutput(output: PlannedOutput): PlannedOutput {
    const { video, raster, sourceColour, colour, hdr, carry, audio } = output.recipe;
    const recipe = {
      ...output.recipe,
      ...{ video: this.same(video), raster: this.same(raster), hdr: this.same(hdr) },
      ...{ sourceColour: this.same(sourceColour), colour: this.same(colour) },
      ...{ carry: carry && this.same(carry), audio: audio && this.same(audio) },
    };
    return { ...output, recipe, losses: this.same(output.losses) };
  }

  /** The first value that was equal to this one, as JSON writes it. */
  private same<T extends object>(value: T): T {
    const text = JSON.stringify(value);
    const before = this.known.get(text);
    // Equal text of the same place in a plan: the same type.
    if (before !== undefined) return before as T;
    if (this.known.size < MOST) this.known.set(text, value);
    return value;
  }
}
