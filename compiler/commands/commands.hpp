// One function a command: does what the options ask, prints through `output`, and gives the exit
// status: 0 nothing breaks, 1 something breaks, 2 could not run, 3 our own fault.
#pragma once
#include "commands/options.hpp"

#include <string>

namespace dripleg::commands {
int run_check(const Options& options);
int run_report(const Options& options);
int run_why(const Options& options);
int run_rules(const Options& options);
int run_prove(const Options& options);
int run_tidy(const Options& options);
int run_create(const Options& options);
int run_limits(const Options& options);

// Reads the words, prints help or mistakes, or runs the command.
int run_command(int count, char** words);

// Help as text: the first page, every command, or one command's page.
std::string first_page();
std::string command_page(Command command);
std::string version_line();
}  // namespace dripleg::commands
