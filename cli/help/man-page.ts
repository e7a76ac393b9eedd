import type { Command, Option } from 'commander';
import { exitCodes, helpOf } from './command-help.js';

/**
 * The manual page of all commands, as `man` reads it (man(7) macros), made from what the help is made of.
 *
 * @param about variables and files, one entry each
 */
export function manPage(
  program: Command,
  version: string,
  about: readonly { readonly title: string; readonly entries: readonly (readonly [string, string])[] }[],
): string {
  const lines = [
    `.TH GOODGATE 1 "" "goodgate ${escaped(version)}" "User Commands"`,
    // Set flush left, words unbroken: lines are read beside a shell.
    '.ad l',
    '.nh',
    '.SH NAME',
    `goodgate \\- ${escaped(lowered(program.description()))}`,
    '.SH SYNOPSIS',
    ...program.commands.map(
      (command) => `.B goodgate ${escaped(command.name())}\n${escaped(usageOf(command))}\n.br`,
    ),
    '.SH DESCRIPTION',
    escaped(
      'Data goes to stdout, progress and notes to stderr. Every error says what, where and what to do next.',
    ),
    ...program.commands.flatMap(commandSection),
    ...about.flatMap(({ title, entries }) => [
      `.SH ${title.toUpperCase()}`,
      ...entries.flatMap(([name, words]) => entry(name, words)),
    ]),
  ];
  return `${lines.join('\n')}\n`;
}

function commandSection(command: Command): string[] {
  const help = helpOf(command);
  return [
    `.SH ${escaped(`goodgate ${command.name()}`).toUpperCase()}`,
    escaped(sentence(command.description())),
    ...(help?.notes ?? []).flatMap((note) => ['.PP', escaped(note)]),
    ...command.registeredArguments.flatMap((argument) =>
      entry(argument.name(), sentence(argument.description)),
    ),
    ...command.options
      .filter(({ hidden }) => !hidden)
      .flatMap((option) => entry(option.flags, optionWords(option))),
    ...(help === undefined
      ? []
      : [
          '.SS Examples',
          ...help.examples.flatMap(([line, what]) => entry(line, sentence(what))),
          '.SS Exit codes',
          ...exitCodes(help.exits).flatMap(([code, meaning]) => entry(String(code), sentence(meaning))),
        ]),
  ];
}

function usageOf(command: Command): string {
  return command.usage();
}

function optionWords({ description, defaultValue, defaultValueDescription, argChoices }: Option): string {
  const byDefault = defaultValueDescription ?? (defaultValue === undefined ? null : String(defaultValue));
  return [
    sentence(description),
    ...(argChoices === undefined ? [] : [`One of ${argChoices.join(', ')}.`]),
    ...(byDefault === null || byDefault === '' ? [] : [`Default: ${byDefault}.`]),
  ].join(' ');
}

function entry(head: string, words: string): string[] {
  return ['.TP', `.B ${escaped(head)}`, escaped(words)];
}

function sentence(text: string): string {
  const first = text.charAt(0).toUpperCase() + text.slice(1);
  return /[.:]$/.test(first) ? first : `${first}.`;
}

function lowered(text: string): string {
  return (text.charAt(0).toLowerCase() + text.slice(1)).replace(/\.$/, '');
}

/** Nothing in a text may be taken for a request or an escape. */
function escaped(text: string): string {
  return text
    .replaceAll('\\', '\\e')
    .replaceAll('-', '\\-')
    .replace(/^([.'])/gm, '\\&$1');
}
