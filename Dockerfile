# The worker: Node, ffmpeg and goodgate. Redis runs beside it (docker-compose.yml).
FROM node:22-bookworm-slim AS build
WORKDIR /app
COPY package.json package-lock.json ./
RUN npm ci --no-audit --no-fund
COPY . .
RUN npm run build && npm prune --omit=dev

FROM node:22-bookworm-slim
RUN apt-get update \
 && apt-get install -y --no-install-recommends ffmpeg fonts-dejavu-core \
 && rm -rf /var/lib/apt/lists/*
WORKDIR /app
COPY --from=build /app/package.json ./
COPY --from=build /app/node_modules ./node_modules
COPY --from=build /app/dist ./dist
RUN ln -s /app/dist/cli/main.js /usr/local/bin/goodgate
# Outputs belong to whoever runs the container: start it with --user where files must not be root's.
USER node
ENTRYPOINT ["node", "/app/dist/cli/main.js"]
CMD ["work", "--root", "/media"]
