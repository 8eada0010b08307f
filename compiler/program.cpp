#include "commands/commands.hpp"

#include <unistd.h>

// Ends without running destructors: everything that was to be written has been handed to the system.
int main(int count, char** words) { ::_exit(dripleg::commands::run_command(count, words)); }
