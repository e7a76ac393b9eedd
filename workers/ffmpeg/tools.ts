/** The programs that are started for media; by default those of the PATH. */
export interface Tools {
  readonly ffmpeg?: string | undefined;
  readonly ffprobe?: string | undefined;
}
