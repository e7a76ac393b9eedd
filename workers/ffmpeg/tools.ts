/** The programs that are started for media; one that is left out is that of the PATH. */
export interface Tools {
  readonly ffmpeg?: string | undefined;
  readonly ffprobe?: string | undefined;
}
