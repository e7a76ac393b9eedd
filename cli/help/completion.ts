// biome-ignore-all lint/suspicious/noTemplateCurlyInString: these are variables of a shell
import { type Argument, type Command, Option } from 'commander';

export const SHELLS = ['bash', 'zsh', 'fish'] as const;
export type Shell = (typeof SHELLS)[number];

/** What a shell can offer after one command, or after one of its options. */
interface Offers {
  readonly command: string;
  readonly about: string;
  readonly options: readonly {
    readonly flags: readonly string[];
    readonly about: string;
    readonly value: Value;
  }[];
  /** Of the argument that is completed first. */
  readonly argument: Value;
}

/** No value; one of these words; or a file, and words beside it. */
type Value =
  | { readonly kind: 'none' }
  | { readonly kind: 'words'; readonly words: readonly string[] }
  | { readonly kind: 'files'; readonly words: readonly string[] };

/**
 * A completion script, made from the command line itself: commands, options, and the words an option takes.
 *
 * @param targets names of targets, offered where one is asked for
 */
export function completionScript(shell: Shell, program: Command, targets: readonly string[]): string {
  const offers = program.commands.map((command) => offersOf(command, targets));
  return { bash, zsh, fish }[shell](offers);
}

function offersOf(command: Command, targets: readonly string[]): Offers {
  return {
    command: command.name(),
    about: command.description(),
    options: [...command.options, new Option('-h, --help', 'tell its options')].map((option) => ({
      flags: [option.short, option.long].flatMap((flag) => flag ?? []),
      about: option.description,
      value: valueOfOption(option, targets),
    })),
    argument: argumentOf(command.registeredArguments[0], targets),
  };
}

function valueOfOption({ long, argChoices, required, optional }: Option, targets: readonly string[]): Value {
  if (argChoices !== undefined) return { kind: 'words', words: argChoices };
  if (!required && !optional) return { kind: 'none' };
  return { kind: 'files', words: long === '--target' ? targets : [] };
}

function argumentOf(argument: Argument | undefined, targets: readonly string[]): Value {
  if (argument === undefined) return { kind: 'none' };
  if (argument.argChoices !== undefined) return { kind: 'words', words: argument.argChoices };
  return { kind: 'files', words: argument.name() === 'target' ? targets : [] };
}

function bash(offers: readonly Offers[]): string {
  const commands = offers.map(({ command }) => command).join(' ');
  return [
    '# Completion of goodgate for bash. To use it: source <(goodgate completion bash)',
    '_goodgate() {',
    '  local word="${COMP_WORDS[COMP_CWORD]}" before="${COMP_WORDS[COMP_CWORD-1]}"',
    '  local command="" i words="" files=0',
    '  for ((i = 1; i < COMP_CWORD; i++)); do',
    '    case "${COMP_WORDS[i]}" in -*) ;; *) command="${COMP_WORDS[i]}"; break ;; esac',
    '  done',
    '  case "$command" in',
    `    "") words="${commands} help --help --version" ;;`,
    ...offers.flatMap(({ command, options, argument }) => [
      `    ${command})`,
      '      case "$before" in',
      ...options
        .filter(({ value }) => value.kind !== 'none')
        .map(({ flags, value }) => `        ${flags.join('|')}) ${bashValue(value)} ;;`),
      `        *) ${bashValue(argument)}; [[ $word == -* ]] && words="${options.flatMap(({ flags }) => flags).join(' ')}" ;;`,
      '      esac ;;',
    ]),
    `    help) words="${commands}" ;;`,
    '  esac',
    "  local IFS=$'\\n'",
    '  COMPREPLY=($(compgen -W "${words// /$IFS}" -- "$word"))',
    '  ((files)) && compopt -o filenames && COMPREPLY+=($(compgen -f -- "$word"))',
    '}',
    'complete -F _goodgate goodgate',
  ].join('\n');
}

function bashValue(value: Value): string {
  return `words="${value.kind === 'none' ? '' : value.words.join(' ')}"; files=${value.kind === 'files' ? 1 : 0}`;
}

function zsh(offers: readonly Offers[]): string {
  return [
    '#compdef goodgate',
    '# Completion of goodgate for zsh. Put it as _goodgate into a folder of $fpath, or: source <(goodgate completion zsh)',
    '_goodgate() {',
    '  if ((CURRENT == 2)); then',
    `    local -a commands=(${offers.map(({ command, about }) => zshQuote(`${command}:${about}`)).join(' ')})`,
    '    _describe command commands',
    '    return',
    '  fi',
    '  local command="${words[2]}"',
    '  shift words',
    '  ((CURRENT--))',
    '  case "$command" in',
    ...offers.map(
      ({ command, options, argument }) =>
        `    ${command}) _arguments ${[
          ...options.flatMap(({ flags, about, value }) =>
            flags.map((flag) => zshQuote(`*${flag}[${about.replace(/[[\]:]/g, ' ')}]${zshValue(value)}`)),
          ),
          ...(argument.kind === 'none' ? [] : [zshQuote(`*${zshValue(argument)}`)]),
        ].join(' ')} ;;`,
    ),
    '  esac',
    '}',
    '[[ $funcstack[1] == _goodgate ]] && _goodgate "$@" || compdef _goodgate goodgate',
  ].join('\n');
}

function zshValue(value: Value): string {
  if (value.kind === 'none') return '';
  if (value.words.length === 0) return ':file:_files';
  const words = `(${value.words.join(' ')})`;
  return value.kind === 'words'
    ? `:word:${words}`
    : `:name or file:{_alternative "names\\:name\\:${words}" "files\\:file\\:_files"}`;
}

function zshQuote(text: string): string {
  return `'${text.replaceAll("'", "'\\''")}'`;
}

function fish(offers: readonly Offers[]): string {
  return [
    '# Completion of goodgate for fish. To use it: goodgate completion fish | source',
    'complete -c goodgate -n __fish_use_subcommand -f',
    ...offers.flatMap(({ command, about, options, argument }) => {
      const seen = `-n '__fish_seen_subcommand_from ${command}'`;
      return [
        `complete -c goodgate -n __fish_use_subcommand -a ${command} -d ${fishQuote(about)}`,
        ...(argument.kind === 'none' ? [`complete -c goodgate ${seen} -f`] : fishWords(seen, '', argument)),
        ...options.flatMap(({ flags, about: what, value }) => {
          const names = flags.map((flag) =>
            flag.startsWith('--') ? `-l ${flag.slice(2)}` : `-s ${flag.slice(1)}`,
          );
          return fishOption(`complete -c goodgate ${seen} ${names.join(' ')} -d ${fishQuote(what)}`, value);
        }),
      ];
    }),
  ].join('\n');
}

function fishOption(line: string, value: Value): string[] {
  if (value.kind === 'none') return [line];
  const words = value.words.length === 0 ? '' : ` -a ${fishQuote(value.words.join(' '))}`;
  return [`${line} -r${value.kind === 'words' ? ' -f' : ''}${words}`];
}

function fishWords(seen: string, flags: string, value: Value): string[] {
  if (value.kind === 'none' || value.words.length === 0) return [];
  const files = value.kind === 'words' ? ' -f' : '';
  return [`complete -c goodgate ${seen}${flags}${files} -a ${fishQuote(value.words.join(' '))}`];
}

function fishQuote(text: string): string {
  return `'${text.replaceAll('\\', '\\\\').replaceAll("'", "\\'")}'`;
}
