# The usual .NET images: SDK 10 to build, ASP.NET Core 10 to run. Their names depend on the registry in use:
#   docker build --build-arg SDK_IMAGE=… --build-arg RUNTIME_IMAGE=… -t heatspread .
ARG SDK_IMAGE=dotnet/sdk:10.0
ARG RUNTIME_IMAGE=dotnet/aspnet:10.0

FROM ${SDK_IMAGE} AS build
WORKDIR /source
COPY global.json .editorconfig Directory.Build.props Directory.Packages.props ./
COPY src src
COPY fixtures/boards fixtures/boards
RUN dotnet publish src/HeatSpread.Service -c Release --use-current-runtime --no-self-contained -o /app

FROM ${RUNTIME_IMAGE}
WORKDIR /app
COPY --from=build /app .
RUN mkdir /data && chown $APP_UID /data
# The user of the image that has no rights beyond its own files.
USER $APP_UID
ENV ASPNETCORE_HTTP_PORTS=8080 HeatSpread__DataFolder=/data
VOLUME /data
# All addresses of a container are reached by others: say HeatSpread__RequireKeys=true, or HeatSpread__OpenToNetwork=true behind a gateway.
ENV Logging__Console__FormatterName=json
EXPOSE 8080
ENTRYPOINT ["dotnet", "HeatSpread.Service.dll"]
