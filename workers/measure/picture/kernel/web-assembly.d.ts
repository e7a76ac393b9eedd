/** What we use of WebAssembly's JavaScript interface: the types of Node 20 leave it out. */
declare namespace WebAssembly {
  class Module {
    constructor(bytes: Uint8Array);
  }
  class Memory {
    constructor(size: { initial: number; maximum: number; shared: true });
    readonly buffer: SharedArrayBuffer;
  }
  class Instance {
    constructor(module: Module, imports: Readonly<Record<string, Readonly<Record<string, Memory>>>>);
    readonly exports: Readonly<Record<string, unknown>>;
  }
}
