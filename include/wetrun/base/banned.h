/* Functions that this project does not use: each has a safer or locale-free twin in base/ or io/.
 * The Makefile includes this header in every translation unit of src/. (atol would be here too, were it not the name of
 * a parameter in a GSL header.) */
#pragma once
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#pragma GCC poison sprintf vsprintf strcpy strcat strtok atoi atof rand srand system popen localtime mktemp tmpnam gets
