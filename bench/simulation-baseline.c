/* The stepping of the simulation written in C: the same terms, tables, edges and noise, so that the
 * figure beside it says what the language costs. Arguments: samples, 0 or 1 for noise; the terms
 * and edges come on the standard input as the benchmark prints them. Prints ns per sample and the
 * sum of the codes. */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#define BLOCK 64
#define CELLS 65536

static void philox(uint32_t c[4], const uint32_t key[2]) {
  uint32_t k0 = key[0], k1 = key[1];
  for (int round = 0; round < 10; round += 1) {
    uint64_t p0 = (uint64_t)0xD2511F53u * c[0];
    uint64_t p1 = (uint64_t)0xCD9E8D57u * c[2];
    uint32_t next[4] = {(uint32_t)(p1 >> 32) ^ c[1] ^ k0, (uint32_t)p1,
                        (uint32_t)(p0 >> 32) ^ c[3] ^ k1, (uint32_t)p0};
    for (int k = 0; k < 4; k += 1) c[k] = next[k];
    k0 += 0x9E3779B9u;
    k1 += 0xBB67AE85u;
  }
}

int main(int argc, char **argv) {
  if (argc != 3) return 2;
  long samples = atol(argv[1]);
  int noisy = atoi(argv[2]);
  int terms, codes;
  double period, constant, origin, slope, lsb;
  if (scanf("%d %d %lf %lf %lf %lf %lf", &terms, &codes, &period, &constant, &origin, &slope, &lsb) != 7)
    return 2;
  double *rate = malloc(sizeof(double) * terms), *omega = malloc(sizeof(double) * terms);
  double *re = malloc(sizeof(double) * terms), *im = malloc(sizeof(double) * terms);
  for (int k = 0; k < terms; k += 1)
    if (scanf("%lf %lf %lf %lf", rate + k, omega + k, re + k, im + k) != 4) return 2;
  double *edges = malloc(sizeof(double) * (codes + 1));
  edges[0] = -INFINITY;
  edges[codes] = INFINITY;
  for (int k = 1; k < codes; k += 1)
    if (scanf("%lf", edges + k) != 1) return 2;
  double(*c)[BLOCK] = malloc(sizeof(double) * BLOCK * terms);
  double(*s)[BLOCK] = malloc(sizeof(double) * BLOCK * terms);
  for (int k = 0; k < terms; k += 1)
    for (int i = 0; i < BLOCK; i += 1) {
      c[k][i] = exp(rate[k] * i * period) * cos(omega[k] * i * period);
      s[k][i] = exp(rate[k] * i * period) * sin(omega[k] * i * period);
    }
  float *table = malloc(sizeof(float) * CELLS);
  for (int k = 0; k < CELLS; k += 1) table[k] = 8.0f * k / CELLS - 4.0f;
  int32_t *out = malloc(sizeof(int32_t) * BLOCK);
  double buffer[BLOCK];
  const uint32_t key[2] = {5, 0};
  int64_t sum = 0;
  struct timespec begin, end;
  clock_gettime(CLOCK_MONOTONIC, &begin);
  for (long first = 0; first + BLOCK <= samples; first += BLOCK) {
    double t = first * period;
    for (int i = 0; i < BLOCK; i += 1) buffer[i] = constant;
    for (int k = 0; k < terms; k += 1) {
      double size = exp(rate[k] * t), x = size * cos(omega[k] * t), y = size * sin(omega[k] * t);
      double a = re[k] * x - im[k] * y, b = re[k] * y + im[k] * x;
      if (fabs(a) + fabs(b) < 1e-18) continue;
      for (int i = 0; i < BLOCK; i += 1) buffer[i] += a * c[k][i] - b * s[k][i];
    }
    if (noisy)
      for (int i = 0; i < BLOCK; i += 8) {
        uint32_t words[4] = {(uint32_t)((first + i) / 8), 0, 7, 9};
        philox(words, key);
        for (int j = 0; j < 4; j += 1) {
          buffer[i + 2 * j] += lsb * table[words[j] >> 16];
          buffer[i + 2 * j + 1] += lsb * table[words[j] & 0xffff];
        }
      }
    for (int i = 0; i < BLOCK; i += 1) {
      double guess = (buffer[i] - origin) * slope;
      int index = guess > 0 ? (guess < codes - 1 ? (int)guess : codes - 1) : 0;
      while (buffer[i] < edges[index]) index -= 1;
      while (buffer[i] >= edges[index + 1]) index += 1;
      out[i] = index;
    }
    sum += out[0] + out[BLOCK - 1];
  }
  clock_gettime(CLOCK_MONOTONIC, &end);
  double ns = (end.tv_sec - begin.tv_sec) * 1e9 + (end.tv_nsec - begin.tv_nsec);
  printf("%f %lld\n", ns / samples, (long long)sum);
  return 0;
}
